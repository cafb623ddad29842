"""Good parts in hand over time: what is moulded and rested, less what assembly has taken."""

from dataclasses import dataclass

from api.languages import gettext, wording
from api.pictures.colours import Swatch, swatches
from api.pictures.drawing import BOLD, Name, cut_apart, draw
from api.pictures.floor.picture import Window, scale_of
from api.pictures.floor.scale import GUTTER, MARGIN
from planner.campaign import Campaign
from planner.plan import RunPlan

HEAD, ROW, TALL = 46.0, 44.0, 30.0
Item = tuple[str, tuple[str, ...]]
Level = list[tuple[float, float]]
"""Moments (seconds since 1970, UTC) and parts in hand then; straight between, upright where two share a moment."""


@dataclass(frozen=True)
class Row:
    """One moulded item. path: its level over time as a filled shape."""

    item: Item
    y: float
    path: str
    peak: str
    swatch: Swatch

    @property
    def says(self) -> str:
        part, inks = self.item
        return gettext("%(what)s: up to %(n)s") % {"what": f"{part} {'/'.join(inks)}", "n": self.peak}


def levels(plan: RunPlan, campaign: Campaign) -> dict[Item, Level]:
    """Parts in hand, for every moulded item, from the plan's start on."""
    changes: dict[Item, list[tuple[float, float, float]]] = {(b.part, tuple(b.colours)): [] for b in plan.balance}
    for run in plan.runs:
        for made in run.parts:
            rest = campaign.parts[made.part].rest_hours * 3600
            for one in run.stretches:
                begins = one.start.timestamp() + one.restart_seconds + rest
                good = made.good * one.shots / run.shots
                changes[made.part, tuple(made.colours)].append((begins, one.end.timestamp() + rest, good))
    for job in plan.assembly:
        product, start = campaign.products[job.product], job.start.timestamp()
        for part, colours in product.colourways[job.colourway].items():
            used = float(job.units * product.parts[part])
            changes.setdefault((part, tuple(colours)), []).append((start, start, -used))
    stock = {(b.part, tuple(b.colours)): float(b.stock) for b in plan.balance}
    begun = plan.start.timestamp()
    return {item: _added(begun, stock.get(item, 0.0), changes[item]) for item in changes}


def _added(start: float, stock: float, changes: list[tuple[float, float, float]]) -> Level:
    """The sum of ramps (from, to, by how much) and steps, at every moment where its slope changes."""
    slopes: dict[float, float] = {start: 0.0}
    steps: dict[float, float] = {}
    for a, b, amount in changes:
        if b <= a:
            steps[a] = steps.get(a, 0.0) + amount
        else:
            slopes[a] = slopes.get(a, 0.0) + amount / (b - a)
            slopes[b] = slopes.get(b, 0.0) - amount / (b - a)
    found: Level = []
    level, slope, last = stock, 0.0, start
    for moment in sorted(slopes.keys() | steps.keys()):
        level, last = level + slope * (moment - last), moment
        slope += slopes.get(moment, 0.0)
        found.append((moment, level))
        if moment in steps:
            level += steps[moment]
            found.append((moment, level))
    return found


def _thinned(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Without the points that would fall on the one before: less than a pixel off both ways."""
    kept = points[:1]
    for x, y in points[1:-1]:
        if abs(x - kept[-1][0]) >= 0.8 or abs(y - kept[-1][1]) >= 0.8:
            kept.append((x, y))
    return kept + points[-1:]


def stock_svg(plan: RunPlan, campaign: Campaign, window: Window | None = None, framed: bool = False) -> str:
    """One row an item, each on its own scale, its peak beside it."""
    scale = scale_of(plan, window or Window())
    colours = swatches(campaign.colours)
    left, right = scale.x(scale.start), scale.width - MARGIN
    rows, names = [], []
    found = sorted(levels(plan, campaign).items())
    short = cut_apart(list(dict.fromkeys(item[0] for item, _ in found)), GUTTER - 10, 11 * BOLD)
    inks = cut_apart(list(dict.fromkeys("/".join(item[1]) for item, _ in found)), GUTTER - 10)
    for n, (item, level) in enumerate(found):
        y = HEAD + ROW * n + ROW - 8
        highest = max((value for _, value in level), default=0.0)
        per_part = TALL / highest if highest > 0 else 0.0
        points = _thinned([(min(max(scale.x_at(m), left), right), y - v * per_part) for m, v in level])
        shape = [f"M{points[0][0]:.1f},{y:.1f}", *(f"L{x:.1f},{up:.1f}" for x, up in points)]
        shape.append(f"H{right:.1f}V{y:.1f}Z")
        rows.append(Row(item, y, "".join(shape), wording.number(round(highest)), colours[item[1][0]]))
        names += [
            Name(y - 13, short[item[0]], "strong"),
            Name(y, inks["/".join(item[1])], "soft"),
        ]
    bottom = HEAD + ROW * len(rows) + 4
    return draw(
        "stock.svg",
        title=gettext("Good parts in hand over time"),
        desc="; ".join(row.says for row in rows),
        role="img",
        framed=framed,
        scale=scale,
        days=scale.days(),
        names=names,
        rows=rows,
        gutter=GUTTER,
        right=right,
        bottom=bottom,
        height=bottom + 22,
        notes=[gettext("each row on its own scale; parts count once they have rested")],
        note_x=GUTTER,
        used={row.swatch.id: row.swatch for row in rows}.values(),
    )
