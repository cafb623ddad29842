"""Pure planning: a campaign document in, a run plan out; no web, queue, database, clock or environment.

`read`, `solve`, `audit_plan` and `simulate` are the library; `planner.library` says what they take.
"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from planner.library import audit_plan, read, simulate, solve

__version__ = "0.1.0"
__all__ = ["__version__", "audit_plan", "read", "simulate", "solve"]


def __getattr__(name: str) -> Any:
    """The library's functions, fetched when first asked for: the folders below need none of each other's weight."""
    if name in ("audit_plan", "read", "simulate", "solve"):
        from planner import library

        return getattr(library, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
