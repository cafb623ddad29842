"""The cost, line by line, as lengths: what no order of work can save stands apart from what could still be saved."""

from dataclasses import dataclass

from api.languages import gettext, wording
from api.languages.sentences import said
from api.pictures.drawing import draw, text_width, wrapped
from planner.plan import RunPlan

NAME, FIGURE = 190.0, 118.0
ROW = 26.0
SIZE = 13.0
"""Of the names' type."""
NARROW = 560.0
"""Below this width names stand above their bars."""


@dataclass(frozen=True)
class Line:
    """One line. y: of its name. width: of its bar, user units."""

    what: str
    y: float
    width: float
    amount: str
    share: str


def cost_svg(plan: RunPlan, width: float = 760.0) -> str:
    """The cost lines, largest first, then the total with the proven bound marked on it."""
    lines = sorted((c for c in plan.costs if c.amount), key=lambda c: (-c.amount, c.what))
    total = plan.outcome.total or 1.0
    above = width < NARROW
    longest = max((text_width(said(c.what), SIZE) for c in lines), default=0.0) + 20
    above = above or longest > width / 2
    name, row, down = (8.0, ROW + 16, 17.0) if above else (max(NAME, longest), ROW, 0.0)
    room = width - name - FIGURE - 8
    largest = max((c.amount for c in lines), default=1.0)
    drawn = [
        Line(
            said(c.what),
            14 + row * n,
            max(1.0, room * c.amount / largest),
            wording.money(c.amount, plan.currency),
            wording.per_cent(c.amount / total),
        )
        for n, c in enumerate(lines)
    ]
    base = 14 + row * len(drawn) + 16 + down
    lower = wording.money(plan.outcome.lower_bound, plan.currency)
    notes = wrapped(
        [
            gettext("black: best possible cost, %(money)s") % {"money": lower},
            gettext("open: what a better plan might still save"),
        ],
        width - name - 8,
        11,
    )
    return draw(
        "cost.svg",
        plan=plan,
        width=width,
        height=base + 30 + 14 * len(notes),
        above=above,
        down=down,
        name=name,
        lines=drawn,
        base=base,
        room=room,
        bound=room * min(1.0, plan.outcome.lower_bound / total),
        total=wording.money(plan.outcome.total, plan.currency),
        notes=notes,
    )
