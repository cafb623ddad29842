"""From finished plans to the trade-off list."""

from collections.abc import Iterable
from itertools import pairwise

from planner.frontier.document import Frontier, Point, Step
from planner.plan.document import RunPlan
from planner.plan.phrases import days
from planner.slips.compare import waste_kg
from planner.wording import money, short_moment


def point(plan_id: str, title: str, plan: RunPlan) -> Point:
    """What one plan brings to the list."""
    return Point(
        plan=plan_id,
        title=title,
        waste_kg=waste_kg(plan),
        purge_kg=plan.purge_kg,
        last_dispatch=max(d.at for d in plan.dispatches),
        cost=plan.outcome.total,
        late_parcels=sum(tier.late_parcels for tier in plan.tiers),
        audited=plan.audit is not None and plan.audit.holds,
    )


def frontier(points: Iterable[Point], currency: str, waiting: int = 0, failed: int = 0) -> Frontier:
    """The points that no other beats, with what each step towards an earlier last dispatch costs."""
    kept: list[Point] = []
    beaten: list[Point] = []
    for one in sorted(points, key=lambda p: (round(p.waste_kg, 6), p.last_dispatch, p.cost, p.plan)):
        if not kept or one.last_dispatch < kept[-1].last_dispatch:
            kept.append(one)
        else:
            beaten.append(one)
    steps = [_step(one, other, currency) for one, other in pairwise(kept)]
    return Frontier(
        currency=currency,
        points=kept,
        steps=steps,
        beaten=beaten,
        waiting=waiting,
        failed=failed,
        words=_words(kept, steps) + _still(waiting, failed),
    )


def _step(one: Point, other: Point, currency: str) -> Step:
    seconds = (one.last_dispatch - other.last_dispatch).total_seconds()
    sooner = (one.last_dispatch.date() - other.last_dispatch.date()).days
    kg, cost = other.waste_kg - one.waste_kg, other.cost - one.cost
    hours = seconds / 3600
    by = days(sooner) if sooner else f"{hours:.1f} hours"
    each = f", {kg / sooner:.1f} kg a day" if sooner > 1 else ""
    change = (
        "and no money" if abs(cost) < 0.5 else f"and {'costs' if cost > 0 else 'saves'} {money(abs(cost), currency)}"
    )
    return Step(
        days=sooner,
        hours=hours,
        kg=kg,
        money=cost,
        kg_per_day=kg / sooner if sooner else None,
        words=f"{by} sooner, by {short_moment(other.last_dispatch)}, wastes {kg:.1f} kg more{each}, {change}",
    )


def _words(kept: list[Point], steps: list[Step]) -> str:
    if not kept:
        return "None of the plans is made yet."
    first, last = kept[0], kept[-1]
    if not steps:
        return (
            f"One plan is best in both: {first.waste_kg:.1f} kg of purge and start-up waste, all gone by "
            f"{short_moment(first.last_dispatch)}. Among the plans made, kilograms buy no day."
        )
    mean = 24 * (last.waste_kg - first.waste_kg) / sum(s.hours for s in steps)
    each = sorted(24 * s.kg / s.hours for s in steps)
    spread = "" if len(each) == 1 else f" on average, step by step from {each[0]:.1f} to {each[-1]:.1f}"
    return (
        f"From {first.waste_kg:.1f} kg of waste, all gone by {short_moment(first.last_dispatch)}, to "
        f"{last.waste_kg:.1f} kg, all gone by {short_moment(last.last_dispatch)}: a day earlier costs "
        f"{mean:.1f} kg{spread}."
    )


def _still(waiting: int, failed: int) -> str:
    said = f" {waiting} of the plans asked for {'is' if waiting == 1 else 'are'} still being made." if waiting else ""
    return said + (f" {failed} could not be made." if failed else "")
