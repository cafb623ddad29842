"""What Numba is spared while it builds: the answers remembered are those it gives."""

import operator
from typing import Any

import pytest
from llvmlite import ir
from numba import njit, types
from numba.core import compiler
from numba.core.registry import cpu_target

from planner.schedule.remembered import KNOWN

OPTIONS: Any = compiler.Flags
"""Its stubs know less than it does."""


def test_this_release_of_numba_has_the_names_held_on_to() -> None:
    """With the locked release; with others planning works too, and is slower to build."""
    assert KNOWN


@pytest.mark.parametrize(
    ("left", "right", "gives"),
    [
        (types.int64, types.int64, types.int64),
        (types.int64, types.float64, types.float64),
        (types.boolean, types.int64, types.int64),
    ],
)
def test_a_sum_has_the_type_its_terms_ask_for(left: types.Type, right: types.Type, gives: types.Type) -> None:
    """Types of Numba's own documentation: whole numbers stay whole, a float makes floats."""
    context = cpu_target.typing_context
    context.refresh()
    kind = context.resolve_value_type(operator.add)
    for _ in range(2):
        assert context.resolve_function_type(kind, (left, right), {}).return_type == gives


def test_what_has_no_answer_is_refused_each_time() -> None:
    for _ in range(2):
        with pytest.raises(Exception, match="No implementation of function"):
            njit(lambda word: word + 1)("a")


def test_a_function_is_built_once_for_whatever_number_it_is_called_with() -> None:
    """What a number written out gives is what the same number in a variable gives."""

    @njit
    def half(number: int) -> float:
        return number / 2

    @njit
    def halves(number: int) -> tuple[float, float, float]:
        return half(1), half(3), half(number)

    assert halves(5) == (0.5, 1.5, 2.5)
    assert half.signatures == [(types.int64,)]


def test_options_are_alike_where_they_say_the_same() -> None:
    said, unsaid, other = (OPTIONS() for _ in range(3))
    said.release_gil, other.release_gil = False, True  # False is what it is where nobody says it
    assert said == unsaid
    assert hash(said) == hash(unsaid)
    assert other != unsaid
    assert said != other


@pytest.mark.parametrize(
    ("kind", "size"),
    [
        (ir.IntType(64), 8),
        (ir.IntType(8), 1),
        (ir.DoubleType(), 8),
        (ir.LiteralStructType([ir.IntType(8), ir.IntType(64)]), 16),
    ],
)
def test_a_size_is_what_the_platform_says(kind: ir.Type, size: int) -> None:
    """Sizes of the System V ABI for 64 bits: a structure is padded to its widest field."""
    context = cpu_target.target_context
    for _ in range(2):
        assert context.get_abi_sizeof(kind) == size == kind.get_abi_size(context.target_data)
