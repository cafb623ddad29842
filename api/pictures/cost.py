"""The cost, line by line, as lengths: what no order of work can save stands apart from what could still be saved."""

from dataclasses import dataclass

from api import wording
from api.pictures.drawing import draw
from planner.plan import RunPlan

NAME, FIGURE = 190.0, 110.0
ROW = 26.0


@dataclass(frozen=True)
class Line:
    """One line. width: of its bar, user units."""

    what: str
    y: float
    width: float
    amount: str
    share: str


def cost_svg(plan: RunPlan, width: float = 760.0) -> str:
    """The cost lines, largest first, then the total with the proven bound marked on it."""
    lines = sorted((c for c in plan.costs if c.amount), key=lambda c: (-c.amount, c.what))
    total = plan.outcome.total or 1.0
    room = width - NAME - FIGURE - 20
    largest = max((c.amount for c in lines), default=1.0)
    drawn = [
        Line(
            c.what,
            14 + ROW * n,
            max(1.0, room * c.amount / largest),
            wording.money(c.amount, plan.currency),
            wording.per_cent(c.amount / total),
        )
        for n, c in enumerate(lines)
    ]
    base = 14 + ROW * len(drawn) + 16
    return draw(
        "cost.svg",
        plan=plan,
        width=width,
        height=base + 62,
        name=NAME,
        lines=drawn,
        base=base,
        room=room,
        bound=room * plan.outcome.lower_bound / total,
        total=wording.money(plan.outcome.total, plan.currency),
        lower=wording.money(plan.outcome.lower_bound, plan.currency),
    )
