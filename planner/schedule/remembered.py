"""What Numba works out again and again while it builds is worked out once.

To find the type of `a + b` it asks some twenty rules one after the other, wherever a sum stands; to see that two
functions are built with the same options it lays both options out as dictionaries, twice for each of those rules; to
learn how many bytes a number takes it has LLVM read a module of one line; and what is called with a number written out
is built for that number, again for the next, and once more for numbers in variables. The answers are the same each
time: remembered, and what is built is the same. With entries that link each function once (`linked.py`) and without
counting references (`jit.py`), building what searches took 28.4 s of processor time instead of 38.3, side by side; one
build for whatever number then took a tenth off all that is built.

This holds on to names inside Numba, as `linked.py` does. Where a release has other names, nothing is remembered.
"""

from typing import Any

from numba.core import base, dispatcher, targetconfig, types
from numba.core.types import functions

_OWN_NAMES = (
    (functions, "BaseFunction"),
    (getattr(functions, "BaseFunction", None), "get_call_type"),
    (targetconfig, "TargetConfig"),
    (targetconfig, "ConfigStack"),
    (getattr(base, "BaseContext", None), "get_abi_sizeof"),
    (getattr(dispatcher, "_DispatcherBase", None), "get_call_template"),
)

KNOWN = all(hasattr(where, name) for where, name in _OWN_NAMES)
"""Whether this release of Numba has the names that this module holds on to."""


def _types_of_calls() -> None:
    """Of built-in functions and operators, by the types of what they are given and the options in force.

    Only where no code of its own goes with the answer (`+`, not `max`): that is built, and linked to whoever asks,
    while Numba works the answer out.
    """
    of: Any = functions.BaseFunction
    asked = of.get_call_type
    known: dict[Any, Any] = {}

    def get_call_type(self: Any, context: Any, args: Any, kws: Any) -> Any:
        if kws:
            return asked(self, context, args, kws)
        options = targetconfig.ConfigStack.top_or_none()  # type: ignore[no-untyped-call]
        key = (id(self), id(context), tuple(args), options)
        if key not in known:
            signature = asked(self, context, args, kws)
            if self._impl_keys[signature.args] is not self.typing_key:
                return signature
            # `self` and `context` are kept, so that their ids stay theirs
            key = (*key[:-1], options and options.copy())  # whose options they are may set others later
            known[key] = signature, self, context
        signature = known[key][0]
        self._impl_keys[signature.args] = self.typing_key
        return signature

    of.get_call_type = get_call_type


def _options_alike() -> None:
    """Options are the same where the same ones were set; laid out whole only where others were."""
    of: Any = targetconfig.TargetConfig
    asked = of.__eq__

    def alike(self: Any, other: Any) -> Any:
        if self is other or (type(self) is type(other) and self._values == other._values):
            return True
        return asked(self, other)

    of.__eq__ = alike
    of.__hash__ = lambda self: len(self.options)  # Numba's is the same for all of a class, too


def _sizes() -> None:
    """Of types, in bytes."""
    of: Any = base.BaseContext
    asked = of.get_abi_sizeof
    known: dict[Any, int] = {}

    def get_abi_sizeof(self: Any, kind: Any) -> int:
        key = (id(self.target_data), str(kind))
        if key not in known:
            known[key] = asked(self, kind)
        return known[key]

    of.get_abi_sizeof = get_abi_sizeof


def _one_build_a_function() -> None:
    """A function called with 0 here and 1 there is built once, for whole numbers; not for 0, for 1, and so on."""
    of: Any = dispatcher._DispatcherBase
    asked = of.get_call_template

    def get_call_template(self: Any, args: Any, kws: Any) -> Any:
        plain: Any = types.unliteral
        return asked(self, tuple(map(plain, args)), {name: plain(kind) for name, kind in kws.items()})

    of.get_call_template = get_call_template


def remember() -> None:
    """From now on, in this process. Call before compiling."""
    if KNOWN:
        _types_of_calls()
        _options_alike()
        _sizes()
        _one_build_a_function()
