"""Small steps from the document's numbers to arrays of whole numbers."""

from collections.abc import Iterable, Sequence, Sized
from fractions import Fraction
from functools import lru_cache
from math import ceil

import numpy as np

from planner.schedule.instance import Ints


@lru_cache(maxsize=4096)
def fraction(value: float) -> Fraction:
    """The number as the maker wrote it, exactly. Kept: few numbers stand in a document, each many times."""
    return Fraction(repr(value))


def whole_seconds(minutes: float, times: int = 1) -> int:
    """Minutes times a count, in whole seconds, rounded up."""
    return ceil(fraction(minutes) * 60 * times)


def ints(values: Iterable[int]) -> Ints:
    return np.array(list(values), dtype=np.int64)


def pointers(groups: Sequence[Sized]) -> Ints:
    return np.concatenate(([0], np.cumsum([len(g) for g in groups]))).astype(np.int64)
