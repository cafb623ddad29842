"""How the compiled part is built: one entry that Python calls, and inner functions that only compiled code calls.

Why two kinds: every compiled function that Python may call gets a wrapper of its own and a second optimisation, and
slices, reductions and sorts of whole arrays pull in dozens of library functions each. One entry, inner functions
without wrappers, and nothing but single elements of arrays cut a cold start from 38 s to 22 s of processor time on a
busy machine. Inner functions are only linked (`linked.py`), and what Numba asks itself again and again is remembered
(`remembered.py`); what is left is type inference, translation to LLVM's language and one optimisation of each entry, so
it grows with the number of expressions.

Nothing compiled makes arrays: all are handed in, so nobody counts who still holds one (`_nrt=False`). That is less to
build, and plans are timed 1.01 (S, 25 runs) to 1.24 times (L, 200 runs) as fast. A function that makes an array after
all is refused when it is built: "NRT required but not enabled".
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, TypeVar, cast

import numba
from numba.core import event
from numba.cpython.unsafe import numbers
from numba.extending import overload

from planner.schedule.code_cache import Kept
from planner.schedule.linked import ENTRY, INNER
from planner.schedule.remembered import remember

remember()

nb: Any = numba
"""Its stubs know less than it does."""

_TRAILING_ZEROS: Any = numbers.trailing_zeros
_KEPT: Any = Kept

BOTH: dict[str, Any] = {"error_model": "numpy", "_nrt": False}
"""Options of entries and of inner functions."""

WITHIN: dict[str, Any] = {"no_cpython_wrapper": True, "no_cfunc_wrapper": True, **BOTH, **INNER}
"""Options of inner functions."""

Function = TypeVar("Function", bound=Callable[..., Any])


def inner(function: Function) -> Function:
    """Compiled when the entry is; not to be called from Python."""
    compiled: Function = nb.njit(**WITHIN)(function)
    return compiled


def inlined(function: Function) -> Function:
    """An inner function whose code stands wherever it is called, and is built again there: for short ones that are
    asked thousands of times a plan. A plan timed from nothing, M (2,205 needs) and L (11,860): 72 and 425 us of its
    parts became 54 and 311, three functions of them inlined."""
    compiled: Function = nb.njit(**WITHIN, forceinline=True)(function)
    return compiled


def entry(function: Function) -> Function:
    """Compiled at its first call or read from the cache beside its file; lets other threads run meanwhile."""
    compiled: Any = nb.njit(nogil=True, **BOTH, **ENTRY)(function)
    if compiled is not function:
        compiled._cache = _KEPT(function)  # what `cache=True` does, with a way to read of our own
    return cast(Function, compiled)


def first_bit(word: int) -> int:
    """Number of the lowest bit that is set in a word above 0."""
    return (int(word) & -int(word)).bit_length() - 1


@overload(first_bit)
def _first_bit(word: Any) -> Any:
    """One instruction of the processor."""

    def found(word: Any) -> Any:
        return _TRAILING_ZEROS(word)

    return found


@contextmanager
def told_of_building(tell: Callable[[], None]) -> Iterator[None]:
    """Call `tell` inside, once, when the first function is really built: what is read from the cache tells nothing."""

    class Listener(event.Listener):
        begun = False

        def on_start(self, _event: object) -> None:
            if not self.begun:
                self.begun = True
                tell()

        def on_end(self, _event: object) -> None:
            """How long it took is nobody's business here."""

    with event.install_listener("numba:compile", Listener()):
        yield
