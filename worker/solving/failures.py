"""Why a plan or a part of a study came to nothing: a word for programs, and problems for people."""

from dataclasses import dataclass

from planner.errors import AuditFailed, CampaignProblems, Infeasible, NoneFound, PlannerError, Problem, Stopped


@dataclass(frozen=True)
class Wording:
    """How a kind of job says what went wrong with it. Each text without its full stop."""

    overran: Problem
    stopped: Problem
    too_large: Problem
    fault: Problem


def reason(error: BaseException | None, wording: Wording) -> tuple[str, list[Problem]]:
    """The word (unreadable, infeasible, none-found, broken-rules, stopped, too-large, fault), and the problems."""
    match error:
        case CampaignProblems():
            return "unreadable", error.problems
        case Infeasible():
            return "infeasible", error.problems
        case NoneFound():
            return "none-found", error.problems
        case AuditFailed():
            return "broken-rules", error.broken
        case Stopped():
            return "stopped", [wording.stopped]
        case PlannerError():
            return "infeasible", [Problem("", str(error))]
        case MemoryError():
            return "too-large", [wording.too_large]
    return "fault", [wording.fault]


def as_json(problem: Problem) -> dict[str, str]:
    """A problem as it is kept and answered."""
    return {"pointer": problem.pointer, "message": problem.message, "remedy": problem.remedy}
