"""The sort of compiled code, held against Python's own, which is stable by its documentation."""

import random
from typing import Any

import numpy as np
import pytest

from planner.schedule import natural_merge_sort

SORT_BY_KEY: Any = natural_merge_sort.sort_by_key


@pytest.mark.parametrize("seed", range(40))
def test_it_sorts_as_python_does(seed: int) -> None:
    """Few keys and many, in order and not, a part of what has keys, none and one."""
    draw = random.Random(seed)
    number = draw.choice([0, 1, 2, 3, 7, 40])
    key = [draw.randint(0, draw.choice([1, 3, 1000])) for _ in range(number + 5)]
    numbers = draw.sample(range(number + 5), number)
    if seed % 3 == 0:
        numbers.sort(key=lambda n: key[n])
    order = np.array(numbers, dtype=np.int64)
    moved = SORT_BY_KEY.py_func(order, np.array(key, dtype=np.int64), np.zeros(number, dtype=np.int64))
    assert order.tolist() == sorted(numbers, key=lambda n: key[n])
    assert moved == (order.tolist() != numbers)
