"""What may fail without costing a plan: its proof and bounds, and the words that say why it is as it is.

A fault of ours in one of these is told in the plan, as a caution, and the plan goes on without that part. What the plan
cannot be carried out or audited without is never spared: runs, benches, dispatches, money, the cautions themselves.
"""

from collections.abc import Callable
from dataclasses import dataclass
from traceback import extract_tb
from typing import TypeVar

from planner.errors import PlannerError

Made = TypeVar("Made")


@dataclass(frozen=True)
class Fault:
    """A part that is left out, and what went wrong in it: the kind of error and where it was raised."""

    part: str
    said: str


def spare(part: str, make: Callable[[], Made], otherwise: Made, faults: list[Fault]) -> Made:
    """What `make` gives, or `otherwise` where it fails through a fault of ours, which is then noted.

    What the planner refuses with reason, and memory that runs out, is raised as it is.
    """
    try:
        return make()
    except (PlannerError, MemoryError):
        raise
    except Exception as error:
        if not bearable(error):
            raise
        faults.append(Fault(part, f"{type(error).__name__} at {_place(error)}"))
        return otherwise


def overlook(part: str, wrong: Exception, faults: list[Fault]) -> None:
    """Note a fault that was found by looking, in the words of `wrong`, and only once; while tests run it is raised."""
    if not bearable(wrong):
        raise wrong
    if Fault(part, str(wrong)) not in faults:
        faults.append(Fault(part, str(wrong)))


def bearable(_error: Exception) -> bool:
    """Whether a fault may be passed over: always, but while the tests run, which are there to find it."""
    return True


def _place(error: Exception) -> str:
    """File and line of the innermost frame of ours, or of any where none is."""
    frames = extract_tb(error.__traceback__)
    ours = [frame for frame in frames if "planner" in frame.filename and "site-packages" not in frame.filename]
    last = (ours or list(frames))[-1]
    return f"{last.filename.rpartition('/planner/')[2]}:{last.lineno}"
