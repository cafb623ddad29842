"""How sharp each sampling plan is: its operating characteristic, one panel a plan, all on one scale of bad pieces."""

from dataclasses import dataclass
from math import ceil, log10

from api.languages import gettext, wording
from api.languages.sentences import said
from api.pictures.drawing import draw, wrapped
from planner.plan import RunPlan
from planner.plan.sampling import SamplingCurve

PANEL_WIDTH, PANEL_HEIGHT = 310.0, 206.0
LEFT, TOP, RIGHT, FOOT = 40.0, 40.0, 30.0, 28.0
MARKS = (("producer", 0.95), ("indifferent", 0.50), ("consumer", 0.10))


@dataclass(frozen=True)
class Mark:
    """A point of the curve that is told: lots with so many bad are accepted so often."""

    x: float
    y: float
    says: str


@dataclass(frozen=True)
class Panel:
    """One sampling plan."""

    x: float
    y: float
    title: str
    serves: str
    path: str
    marks: list[Mark]
    says: str


def curves_svg(plan: RunPlan, width: float = 960.0) -> str:
    """A panel for each sampling plan of the run plan's inspections; with none, a word that there are none."""
    per_row = max(1, int(width // PANEL_WIDTH))
    most = _round_up(max((curve.points[-1][0] for curve in plan.curves), default=0.1))
    wide, tall = PANEL_WIDTH - LEFT - RIGHT, PANEL_HEIGHT - TOP - FOOT
    panels = []
    for n, curve in enumerate(plan.curves):
        x, y = (n % per_row) * PANEL_WIDTH + LEFT, (n // per_row) * PANEL_HEIGHT + TOP
        points = [(x + wide * share / most, y + tall * (1 - chance)) for share, chance in curve.points]
        marks = [
            Mark(
                x + wide * getattr(curve, name) / most,
                y + tall * (1 - chance),
                gettext("%(share)s bad: accepted %(n)s times in 100")
                % {"share": wording.per_cent(getattr(curve, name)), "n": f"{chance * 100:.0f}"},
            )
            for name, chance in MARKS
        ]
        title = gettext("%(n)s pieces, at most %(most)s bad") % {
            "n": wording.number(curve.n),
            "most": curve.accept,
        }
        says = f"{title}: " + "; ".join(mark.says for mark in marks)
        path = "M" + "L".join(f"{a:.1f},{b:.1f}" for a, b in points)
        panels.append(Panel(x, y, title, _serves(plan, curve), path, marks, says))
    rows = -(-len(panels) // per_row)
    across = min(width, PANEL_WIDTH * max(1, min(per_row, len(panels))))
    notes = wrapped(_notes(), across - 16) if panels else []
    return draw(
        "curves.svg",
        width=across,
        height=PANEL_HEIGHT * max(1, rows) + 8 + 13 * len(notes),
        notes=notes,
        panels=panels,
        wide=wide,
        tall=tall,
        ticks=[(wide * k / 4, wording.per_cent(most * k / 4)) for k in range(5)],
        levels=[(tall * (1 - chance), f"{chance * 100:.0f}") for chance in (0, 0.1, 0.5, 0.95)],
    )


def _serves(plan: RunPlan, curve: SamplingCurve) -> str:
    """Where the sampling plan is used: parts and kinds of defect."""
    used = {
        f"{found.part} {said(sample.defect)}"
        for found in plan.inspections
        for sample in found.samples
        if (sample.n, sample.accept, sample.every_piece) == (curve.n, curve.accept, False)
    }
    listed, more = sorted(used)[:2], len(used) - 2
    return ", ".join(listed) + (f" {gettext('and %(n)s more') % {'n': more}}" if more > 0 else "")


def _notes() -> list[str]:
    return [
        gettext("along: bad pieces in the lot"),
        gettext("upright: lots accepted of 100"),
        gettext("circles: 95, 50 and 10 of 100"),
    ]


def _round_up(share: float) -> float:
    """The next share of one figure, doubled figures skipped: 0.02, 0.04, 0.1, 0.2, 0.4."""
    step = 10.0 ** ceil(log10(share) - 1)
    return next((step * figure for figure in (1, 2, 4, 10) if step * figure >= share - 1e-12), share)
