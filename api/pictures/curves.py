"""How sharp each sampling plan is: its operating characteristic, one panel a plan, all on one scale of bad pieces."""

from dataclasses import dataclass
from math import ceil, log10

from api import wording
from api.pictures.drawing import draw, wrapped
from planner.plan import RunPlan
from planner.plan.sampling import SamplingCurve

PANEL_WIDTH, PANEL_HEIGHT = 310.0, 206.0
LEFT, TOP, RIGHT, FOOT = 40.0, 40.0, 30.0, 28.0
NOTES = ("along: bad pieces in the lot", "upright: lots accepted of 100", "circles: 95, 50 and 10 of 100")
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
                f"{wording.per_cent(getattr(curve, name))} bad: accepted {chance * 100:.0f} times in 100",
            )
            for name, chance in MARKS
        ]
        title = f"{curve.n} pieces, accept {curve.accept}"
        says = f"{title}: " + "; ".join(mark.says for mark in marks)
        path = "M" + "L".join(f"{a:.1f},{b:.1f}" for a, b in points)
        panels.append(Panel(x, y, title, _serves(plan, curve), path, marks, says))
    rows = -(-len(panels) // per_row)
    across = min(width, PANEL_WIDTH * max(1, min(per_row, len(panels))))
    notes = wrapped(NOTES, across - 16) if panels else []
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
        f"{found.part} {sample.defect}"
        for found in plan.inspections
        for sample in found.samples
        if (sample.n, sample.accept, sample.every_piece) == (curve.n, curve.accept, False)
    }
    said = sorted(used)
    return ", ".join(said[:2]) + (f" and {len(said) - 2} more" if len(said) > 2 else "")


def _round_up(share: float) -> float:
    """The next share of one figure, doubled figures skipped: 0.02, 0.04, 0.1, 0.2, 0.4."""
    step = 10.0 ** ceil(log10(share) - 1)
    return next((step * figure for figure in (1, 2, 4, 10) if step * figure >= share - 1e-12), share)
