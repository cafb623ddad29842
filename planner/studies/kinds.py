"""The kinds of studies by name, and the one place where a part is answered."""

from planner.control import Control
from planner.studies import elsewhere, knowing, levers, promise, slip_table
from planner.studies.parts import Answer, Kind, Work

KINDS: dict[str, Kind] = {
    "slip-table": Kind(slip_table.split, slip_table.answer),
    "levers": Kind(levers.split, levers.answer),
    "elsewhere": Kind(elsewhere.split, elsewhere.answer),
    "knowing": Kind(knowing.split, knowing.answer),
    "promise": Kind(promise.split, promise.answer),
}


def answer(work: Work, control: Control) -> Answer:
    """Work a part out."""
    return KINDS[work.kind].answer(work, control)
