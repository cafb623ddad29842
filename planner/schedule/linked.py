"""Inner functions are translated to be linked into entries, and into nothing else.

Numba optimises the code of every function together with all that it calls, and makes machine code of it, for whoever
may call it alone. Nobody calls an inner function alone: its code is copied into each function that calls it and
optimised there again, once per level of calls. Here it is only translated; the entry links all that it calls, at any
depth, each once, and is optimised once, as a whole, to the same results: 67.3 s of processor time for everything became
47.8 s on the same busy machine.

This holds on to names inside Numba. Where a release has other names, inner functions are built in its own way: slower
to build, the same afterwards.
"""

from typing import Any

from numba.core import codegen, compiler, typed_passes
from numba.core.compiler_machinery import PassManager, register_pass

Names = dict[str, Any]

_ENVIRONMENTS: Names = {}
"""What inner functions raise errors with, by the name of the place where machine code looks for it."""

_OWN_NAMES = (
    (codegen, "JITCodeLibrary"),
    (getattr(codegen, "JITCodeLibrary", None), "_optimize_final_module"),
    (getattr(codegen, "JITCodeLibrary", None), "_finalize_final_module"),
    (getattr(codegen, "JITCodeLibrary", None), "_finalize_dynamic_globals"),
    (getattr(codegen, "JITCodeLibrary", None), "get_pointer_to_function"),
    (typed_passes, "NativeLowering"),
    (compiler, "CompilerBase"),
    (compiler, "DefaultPassBuilder"),
)

KNOWN = all(hasattr(where, name) for where, name in _OWN_NAMES)
"""Whether this release of Numba has the names that this module holds on to."""


class _Later:
    """The code generator, but an environment is kept until there is machine code to hand it to."""

    def __init__(self, real: Any) -> None:
        self._real = real

    def set_env(self, name: str, environment: object) -> None:
        _ENVIRONMENTS[name] = environment

    def __getattr__(self, name: str) -> Any:
        return getattr(self._real, name)


def _linked_only() -> Any:
    """The library of a function that is only linked: neither optimised on its own nor made machine code of, nor linked
    with what it calls itself, which its callers link, each once."""
    base: Any = codegen.JITCodeLibrary

    class LinkedOnly(base):  # type: ignore[misc]
        @property
        def codegen(self) -> _Later:
            return _Later(self._codegen)

        def finalize(self) -> None:
            self._finalize_dynamic_globals()
            self._finalized = True

        def get_pointer_to_function(self, _name: str) -> int:
            self._ensure_finalized()
            return 0  # as for a function without a wrapper for Python

    return LinkedOnly


def _linking(linked_only: Any) -> Any:
    """The library of an entry: it links all that it calls, at any depth."""
    base: Any = codegen.JITCodeLibrary

    class Linking(base):  # type: ignore[misc]
        def finalize(self) -> None:
            found: dict[Any, None] = dict.fromkeys(self._linking_libraries)
            left = list(found)
            while left:
                one = left.pop()
                if isinstance(one, linked_only):
                    new = [library for library in one._linking_libraries if library not in found]
                    found |= dict.fromkeys(new)
                    left += new
            self._linking_libraries: list[Any] = list(found)
            super().finalize()

    return Linking


def _compiler(lowering: Any) -> Any:
    """Numba's own compiler with another last step."""
    base: Any = compiler.CompilerBase

    class Compiler(base):  # type: ignore[misc]
        def define_pipelines(self) -> list[Any]:
            build: Any = compiler.DefaultPassBuilder
            steps = build.define_nopython_pipeline(self.state)
            own = [(lowering if step is typed_passes.NativeLowering else step, says) for step, says in steps.passes]
            built: Any = PassManager("nopython")  # type: ignore[no-untyped-call]
            for step, says in own:
                built.add_pass(step, says)
            built.finalize()
            return [built]

    return Compiler


_LINKED_ONLY = _linked_only() if KNOWN else None


def _inner() -> Any:
    library: Any = _LINKED_ONLY

    class InnerLowering(typed_passes.NativeLowering):
        _name = "inner_lowering"

        def run_pass(self, state: Any) -> bool:
            if state.library is None:
                state.library = library(state.targetctx.codegen(), state.func_id.func_qualname)
            return bool(super().run_pass(state))  # type: ignore[no-untyped-call]

    register_pass(mutates_CFG=True, analysis_only=False)(InnerLowering)  # type: ignore[no-untyped-call]
    return _compiler(InnerLowering)


def _entry() -> Any:
    library = _linking(_LINKED_ONLY)

    class EntryLowering(typed_passes.NativeLowering):
        _name = "entry_lowering"

        def run_pass(self, state: Any) -> bool:
            if state.library is None:
                state.library = library(state.targetctx.codegen(), state.func_id.func_qualname)
                state.library.enable_object_caching()
            done = bool(super().run_pass(state))  # type: ignore[no-untyped-call]
            for variable in state.library._final_module.global_variables:
                if variable.name in _ENVIRONMENTS:
                    state.library.codegen.set_env(variable.name, _ENVIRONMENTS[variable.name])
            return done

    register_pass(mutates_CFG=True, analysis_only=False)(EntryLowering)  # type: ignore[no-untyped-call]
    return _compiler(EntryLowering)


INNER: Names = {"pipeline_class": _inner()} if KNOWN else {}
ENTRY: Names = {"pipeline_class": _entry()} if KNOWN else {}
"""Further options of `numba.njit` for the two kinds of functions."""
