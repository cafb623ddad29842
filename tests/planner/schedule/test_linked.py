"""Inner functions are linked into entries: no machine code of their own, the same numbers, the same errors."""

from typing import Any

import numpy as np
import pytest

from planner.schedule.jit import entry, inlined, inner, nb
from planner.schedule.linked import ENTRY, KNOWN


@inner
def halved(value: float) -> float:
    if value < 0.0:
        raise ValueError("below nothing")
    return value / 2.0


@inlined
def doubled(value: float) -> float:
    if value > 100.0:
        raise ValueError("too much")
    return value * 2.0


@inner
def added_up(values: np.ndarray) -> float:
    total = 0.0
    for value in values:
        total += halved(value) + doubled(value)
    return total


def added(values: np.ndarray) -> float:
    return added_up(values) + halved(1.0) + doubled(values[0])


BUILT = nb.njit(nogil=True, error_model="numpy", **ENTRY)(added)
READ = entry(added)
"""From the cache, the second time that these tests are run."""


def test_this_release_of_numba_has_the_names_held_on_to() -> None:
    """With the locked release; with others planning works too, and is slower to build."""
    assert KNOWN


@pytest.mark.parametrize("called", [BUILT, READ])
def test_an_entry_gives_what_its_parts_say(called: Any) -> None:
    assert called(np.array([1.0, 2.0, 3.0])) == 3.0 + 12.0 + 0.5 + 2.0


@pytest.mark.parametrize("called", [BUILT, READ])
def test_an_error_of_an_inner_function_reaches_python(called: Any) -> None:
    """What it is raised with stands where the entry's machine code finds it."""
    with pytest.raises(ValueError, match="below nothing"):
        called(np.array([1.0, -2.0]))


@pytest.mark.parametrize("called", [BUILT, READ])
def test_so_does_one_of_a_function_whose_code_stands_in_its_callers(called: Any) -> None:
    with pytest.raises(ValueError, match="too much"):
        called(np.array([101.0]))


def test_inner_functions_have_no_machine_code_of_their_own() -> None:
    BUILT(np.array([1.0]))
    (built,) = halved.overloads.values()
    assert built.library.get_pointer_to_function(built.fndesc.llvm_func_name) == 0
    (whole,) = BUILT.overloads.values()
    assert whole.library.get_pointer_to_function(whole.fndesc.llvm_cpython_wrapper_name) != 0
