"""What the planner says when it cannot give a plan, as classes the layers above turn into answers."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Problem:
    """One thing wrong with a campaign.

    pointer: JSON Pointer (RFC 6901) to the field in the campaign document, "" for the whole.
    message: what is wrong, in the maker's words.
    remedy: what to change.
    """

    pointer: str
    message: str
    remedy: str = ""


class PlannerError(Exception):
    """Anything the planner refuses; never raised for a fault of its own."""


class CampaignProblems(PlannerError):
    """The campaign contradicts itself. Holds every problem found, not only the first."""

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = problems
        super().__init__("; ".join(p.message for p in problems))


class Infeasible(PlannerError):
    """The campaign is well-formed, but it is proven that no plan can satisfy it.

    Each problem names a reason and the smallest change found that would make a plan possible.
    """

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = problems
        super().__init__("; ".join(p.message for p in problems))


class NoneFound(PlannerError):
    """No plan was found within the budget, and none was proven impossible either.

    The first problem says so; the others name single changes with which a plan was found.
    """

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = problems
        super().__init__("; ".join(p.message for p in problems))


class Stopped(PlannerError):
    """Asked to stop before a first plan was there."""


class AuditFailed(PlannerError):
    """The auditor found a finished plan to break rules; such a plan is never returned as good."""

    def __init__(self, broken: list[Problem]) -> None:
        self.broken = broken
        super().__init__("; ".join(f"{p.pointer}: {p.message}" for p in broken))
