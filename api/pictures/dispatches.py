"""How much of each tier has left, over time, and by when it was promised."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from api import wording
from api.pictures.drawing import draw
from api.pictures.floor.picture import Window, scale_of
from api.pictures.floor.scale import MARGIN
from planner.plan import RunPlan

HEAD, ROW, TALL = 46.0, 74.0, 50.0


@dataclass(frozen=True)
class Sure:
    """The day by which a tier's last parcel has left in half, in four of five, in nineteen of twenty simulations."""

    p50: date
    p80: date
    p95: date


@dataclass(frozen=True)
class Row:
    """One tier's curve. band: left edge and width from P50 to P95; eighty: x of P80."""

    tier: str
    parcels: str
    y: float
    path: str
    steps: list[tuple[float, float, str]]
    promise: float | None
    promised: str
    band: tuple[float, float] | None
    eighty: float | None
    band_says: str


def dispatch_svg(plan: RunPlan, window: Window | None = None, sure: dict[str, Sure] | None = None) -> str:
    """A stair a tier, from none to all; with the band of its last day where it has been simulated."""
    known = sure or {}
    scale = scale_of(plan, window or Window())
    if window is None or window.days is None:
        last = max([plan.start.date(), *(one.p95 for one in known.values())])
        count = max(scale.count, (last - scale.first).days + 1)
        scale = scale_of(plan, Window(scale.first, count, (), scale.width))
    at = {dispatch.id: dispatch.at for dispatch in plan.dispatches}
    rows = []
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
            says = (
                f"{tier.tier}, {wording.moment(moment)}: {wording.number(gone)} of {wording.number(tier.parcels)} gone"
            )
            steps.append((scale.x(moment), up, says))
        path.append(f"H{scale.width - MARGIN:.1f}V{y:.1f}Z")
        one = known.get(tier.tier)
        due = None if tier.promised is None else _end_of(tier.promised, scale.zone)
        rows.append(
            Row(
                tier=tier.tier,
                parcels=wording.counted(tier.parcels, "parcel"),
                y=y,
                path="".join(path),
                steps=[step for step in steps if scale.x(scale.start) <= step[0] <= scale.width - MARGIN],
                promise=scale.x(due) if due is not None and scale.shows(due) else None,
                promised=wording.day(tier.promised),
                band=scale.clipped(_end_of(one.p50, scale.zone), _end_of(one.p95, scale.zone), 2) if one else None,
                eighty=scale.x(_end_of(one.p80, scale.zone)) if one else None,
                band_says=f"last day: P50 {one.p50}, P80 {one.p80}, P95 {one.p95}" if one else "",
            )
        )
    return draw(
        "dispatches.svg",
        plan=plan,
        scale=scale,
        days=scale.days(),
        rows=rows,
        right=scale.width - MARGIN,
        height=HEAD + ROW * len(rows) + 26,
        tall=TALL,
        simulated=bool(known),
    )


def _end_of(day: date, zone: object) -> datetime:
    return datetime.combine(day + timedelta(days=1), time(), zone)  # type: ignore[arg-type]
