"""When to go from normal to tightened inspection and back, from the verdicts on past lots.

Source: MIL-STD-105E 4.7 (switching procedures), the figures recalled from memory. Reduced inspection is
not offered: it needs a steady history that a moulding campaign of a few weeks does not have.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from planner.quality.schemes import Severity

_REJECTED_OF_LAST_FIVE = 2
_ACCEPTED_IN_A_ROW = 5
_REJECTED_WHILE_TIGHTENED = 5


@dataclass(frozen=True)
class Standing:
    """How the next lot is inspected, or "stop": mend the process before inspecting on."""

    next: Severity | Literal["stop"]
    why: str


def standing(verdicts: Iterable[bool]) -> Standing:
    """Severity for the next lot, given the verdict (True: accepted) of each past lot in order."""
    severity: Severity = "normal"
    recent: list[bool] = []
    rejected_tightened = 0
    for accepted in verdicts:
        recent = [*recent, accepted][-5:]
        if severity == "normal":
            if recent.count(False) >= _REJECTED_OF_LAST_FIVE:
                severity, recent, rejected_tightened = "tightened", [], 0
            continue
        rejected_tightened += not accepted
        if rejected_tightened >= _REJECTED_WHILE_TIGHTENED:
            return Standing("stop", "five lots rejected under tightened inspection: mend the process first")
        if len(recent) == _ACCEPTED_IN_A_ROW and all(recent):
            severity, recent = "normal", []
    if severity == "tightened":
        return Standing("tightened", "two lots of five or fewer in a row were rejected")
    return Standing("normal", "no two rejections within five lots in a row")
