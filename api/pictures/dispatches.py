"""How much of each tier has left, over time, and by when it was promised."""

from dataclasses import dataclass
from datetime import datetime

from api.languages import gettext, wording
from api.pictures.drawing import BOLD, Name, cut_apart, draw, wrapped
from api.pictures.floor.beneath import all_gone, band_says, end_of, upright
from api.pictures.floor.picture import Window, scale_of
from api.pictures.floor.scale import GUTTER, MARGIN
from api.services.standing_promise import Sure
from planner.plan import RunPlan

HEAD, ROW, TALL = 46.0, 74.0, 50.0


@dataclass(frozen=True)
class Row:
    """One tier's curve. y: of its foot. band: left edge and width from P50 to P95; announced: x of the day picked."""

    tier: str
    y: float
    path: str
    steps: list[tuple[float, float, str]]
    promise: float | None
    promised: str
    band: tuple[float, float] | None
    announced: float | None
    band_says: str


def dispatch_svg(
    plan: RunPlan, window: Window | None = None, sure: dict[str, Sure] | None = None, framed: bool = False
) -> str:
    """A stair a tier, from none to all; with the band of its last day where it has been simulated."""
    known = sure or {}
    scale = scale_of(plan, window or Window())
    if window is None or window.days is None:
        last = max([plan.start.date(), *(one.p95 for one in known.values())])
        count = max(scale.count, (last - scale.first).days + 1)
        scale = scale_of(plan, Window(scale.first, count, (), scale.width))
    at = {dispatch.id: dispatch.at for dispatch in plan.dispatches}
    rows, names = [], []
    short = cut_apart([tier.tier for tier in plan.tiers], GUTTER - 10, 11 * BOLD)
    for n, tier in enumerate(plan.tiers):
        leaving: dict[datetime, int] = {}
        for batch in plan.batches:
            if batch.tier == tier.tier:
                leaving[at[batch.dispatch]] = leaving.get(at[batch.dispatch], 0) + batch.parcels
        y, gone = HEAD + ROW * n + ROW - 12, 0
        path, steps = [f"M{scale.x(scale.start):.1f},{y:.1f}"], []
        for moment, parcels in sorted(leaving.items()):
            gone += parcels
            up = y - TALL * gone / tier.parcels
            path.append(f"H{scale.x(moment):.1f}V{up:.1f}")
            says = gettext("%(tier)s, %(when)s: %(gone)s of %(all)s gone") % {
                "tier": tier.tier,
                "when": wording.moment(moment),
                "gone": wording.number(gone),
                "all": wording.number(tier.parcels),
            }
            steps.append((scale.x(moment), up, says))
        path.append(f"H{scale.width - MARGIN:.1f}V{y:.1f}Z")
        one = known.get(tier.tier)
        due = None if tier.promised is None else end_of(tier.promised, scale)
        names += [Name(y - 14, short[tier.tier], "strong"),
                  Name(y, wording.counted(tier.parcels, "parcel"), "soft")]  # fmt: skip
        rows.append(
            Row(
                tier=tier.tier,
                y=y,
                path="".join(path),
                steps=[step for step in steps if scale.x(scale.start) <= step[0] <= scale.width - MARGIN],
                promise=scale.x(due) if due is not None and scale.shows(due) else None,
                promised=wording.day(tier.promised),
                band=scale.clipped(end_of(one.p50, scale), end_of(one.p95, scale), 2) if one else None,
                announced=scale.x(end_of(one.by, scale)) if one else None,
                band_says=band_says(one) if one else "",
            )
        )
    notes = [gettext("filled: gone, from none to all"), gettext("flag: end of the promised day")]
    notes += (
        [
            gettext("hatched: last parcel gone, from even odds (P50) to almost certain (P95)"),
            upright(known.values()),
        ]
        if known
        else []
    )
    lines = wrapped(notes, scale.width - GUTTER - MARGIN)
    bottom = HEAD + ROW * len(rows) + 4
    return draw(
        "dispatches.svg",
        title=gettext("How much of each tier has left over time"),
        desc=all_gone(plan),
        role="img",
        framed=framed,
        scale=scale,
        days=scale.days(),
        names=names,
        rows=rows,
        gutter=GUTTER,
        right=scale.width - MARGIN,
        bottom=bottom,
        height=bottom + 10 + 13 * len(lines),
        notes=lines,
        note_x=GUTTER,
        tall=TALL,
    )
