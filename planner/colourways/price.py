"""The price of a colourway as a document: two run plans compared, item by item."""

from collections.abc import Iterable
from datetime import date
from math import fsum

from pydantic import Field

from planner.plan.base import PlanPart
from planner.plan.document import Material, RunPlan, TierDates


class Both(PlanPart):
    """A quantity in both plans. difference: changed less as it is."""

    as_it_is: float
    changed: float
    difference: float


class MasterbatchBoth(PlanPart):
    """One masterbatch in both plans, kg."""

    colour: str
    bought_kg: Both
    left_over_kg: Both = Field(description="bought because of bags and smallest orders, and not used")


class MoneyBoth(PlanPart):
    """One cost line in both plans."""

    what: str
    amount: Both


class TierBoth(PlanPart):
    """When a tier's last parcel leaves in both plans. days: later (+) or earlier (-) in the changed one."""

    tier: str
    last_dispatch: date | None
    last_dispatch_changed: date | None
    days: int | None = Field(description="null: one of the plans has no parcel of this tier")
    parcels: Both
    late_parcels: Both


class ColourwayPrice(PlanPart):
    """What the changed set of colourways costs against the campaign as it is: differences are changed less as it is.

    Both plans come from a search that ends with its budget, so a difference may be partly luck.
    proven_low, proven_high: no two plans can differ by less or by more, by both plans' lower bounds.
    """

    currency: str
    total: Both
    proven_low: float
    proven_high: float
    sure: bool = Field(description="true: the bounds prove which way is cheaper, whatever the search missed")
    purge_kg: Both
    purge_hours: Both
    changeovers: Both
    press_hours: Both = Field(description="changeovers and runs of all presses")
    masterbatches_bought: Both = Field(description="masterbatches of which anything is bought")
    unused_minimum_orders: Both = Field(description="money for what smallest orders and bags leave over")
    masterbatch: list[MasterbatchBoth]
    money: list[MoneyBoth]
    tiers: list[TierBoth]
    parcels: Both


def price(as_it_is: RunPlan, changed: RunPlan) -> ColourwayPrice:
    """Compare two plans made with the same budget and seed. Raises ValueError for plans in two currencies."""
    if as_it_is.currency != changed.currency:
        raise ValueError(f"{as_it_is.currency} and {changed.currency} cannot be compared; use one currency")
    plans = (as_it_is, changed)
    lines = [{line.what: line.amount for line in plan.costs} for plan in plans]
    low = changed.outcome.lower_bound - as_it_is.outcome.total
    high = changed.outcome.total - as_it_is.outcome.lower_bound
    return ColourwayPrice(
        currency=as_it_is.currency,
        total=_both(plan.outcome.total for plan in plans),
        proven_low=low,
        proven_high=high,
        sure=low > 0 or high < 0,
        purge_kg=_both(plan.purge_kg for plan in plans),
        purge_hours=_both(_purge_hours(plan) for plan in plans),
        changeovers=_both(sum(run.changeover is not None for run in plan.runs) for plan in plans),
        press_hours=_both(_press_hours(plan) for plan in plans),
        masterbatches_bought=_both(sum(m.bought_kg > 0 for m in _masterbatch(plan).values()) for plan in plans),
        unused_minimum_orders=_both(amounts.get("unused minimum orders", 0.0) for amounts in lines),
        masterbatch=_masterbatches(*plans),
        money=[
            MoneyBoth(what=what, amount=_both(amounts.get(what, 0.0) for amounts in lines))
            for what in dict.fromkeys([*lines[0], *lines[1]])
        ],
        tiers=_tiers(*plans),
        parcels=_both(sum(tier.parcels for tier in plan.tiers) for plan in plans),
    )


def _both(values: Iterable[float]) -> Both:
    as_it_is, changed = (round(float(value), 6) for value in values)
    return Both(as_it_is=as_it_is, changed=changed, difference=round(changed - as_it_is, 6))


def _purge_hours(plan: RunPlan) -> float:
    return sum(purge.seconds for run in plan.runs if run.changeover for purge in run.changeover.purges) / 3600


def _press_hours(plan: RunPlan) -> float:
    changing = [run.changeover.end - run.changeover.start for run in plan.runs if run.changeover]
    running = [stretch.end - stretch.start for run in plan.runs for stretch in run.stretches]
    return fsum(span.total_seconds() for span in [*changing, *running]) / 3600


def _masterbatch(plan: RunPlan) -> dict[str, Material]:
    return {line.id: line for line in plan.materials if line.kind == "masterbatch"}


def _masterbatches(as_it_is: RunPlan, changed: RunPlan) -> list[MasterbatchBoth]:
    found = [_masterbatch(plan) for plan in (as_it_is, changed)]
    return [
        MasterbatchBoth(
            colour=colour,
            bought_kg=_both(lines[colour].bought_kg if colour in lines else 0.0 for lines in found),
            left_over_kg=_both(
                min(lines[colour].left_over_kg, lines[colour].bought_kg) if colour in lines else 0.0 for lines in found
            ),
        )
        for colour in sorted({*found[0], *found[1]})
    ]


def _tiers(as_it_is: RunPlan, changed: RunPlan) -> list[TierBoth]:
    found = [{tier.tier: tier for tier in plan.tiers} for plan in (as_it_is, changed)]
    return [_tier(name, *(tiers.get(name) for tiers in found)) for name in sorted({*found[0], *found[1]})]


def _tier(name: str, as_it_is: TierDates | None, changed: TierDates | None) -> TierBoth:
    both = (as_it_is, changed)
    days = [tier.last_dispatch.date() if tier else None for tier in both]
    first, second = days
    return TierBoth(
        tier=name,
        last_dispatch=first,
        last_dispatch_changed=second,
        days=(second - first).days if first and second else None,
        parcels=_both(tier.parcels if tier else 0 for tier in both),
        late_parcels=_both(tier.late_parcels if tier else 0 for tier in both),
    )
