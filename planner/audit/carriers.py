"""Whom parcels go with, by when they should have left, and which wave waits for which: read from the campaign anew
(RULES.md, B9 to B11)."""

from collections.abc import Iterator
from datetime import date, timedelta
from fractions import Fraction

from planner.audit.case import Case
from planner.audit.figures import exact, whole_up
from planner.audit.parts import units_share
from planner.audit.postage import charged_kg, charged_of, cheapest_of, rate_of
from planner.campaign.benches import PickUps
from planner.plan.document import Dispatch, PackBatch


def pick_ups_of(case: Case, carrier: str) -> PickUps | None:
    """When a carrier picks up; None where the campaign has no such carrier."""
    if not case.campaign.carriers:
        return None if carrier else case.campaign.pick_ups
    own = case.campaign.carriers.get(carrier)
    return own.pick_ups if own is not None else None


def hand_over_by(case: Case, batch: PackBatch) -> date | None:
    """The day by which a batch should have left: what its tier promises its region, less the way to the door."""
    tier = case.campaign.tiers.get(batch.tier)
    if tier is None:
        return None
    promised = tier.promised_in.get(batch.region, tier.promised)
    if promised is None or tier.promised_to != "door":
        return promised
    most = 0
    for line in batch.lines:
        if 0 <= line.line < len(case.campaign.orders):
            rate = rate_of(case, batch, case.campaign.orders[line.line].country)
            if rate is not None and rate[1].door_days is not None:
                most = max(most, rate[1].door_days[1] + legs_days(case, batch.carrier))
    return promised - timedelta(days=most)


def legs_days(case: Case, carrier: str) -> int:
    """Most calendar days from a hand-over to where a carrier's local parcels begin."""
    own = case.campaign.carriers.get(carrier)
    return sum(leg.days[1] for leg in own.legs) if own is not None else 0


def days_late(case: Case, batch: PackBatch, leaves: int) -> int:
    """Days after the day by which it should have left; 0: in time, or nothing is promised."""
    due = hand_over_by(case, batch)
    return max(0, (case.clock.day(leaves) - due).days) if due else 0


def late_money(case: Case, batch: PackBatch, leaves: int) -> Fraction:
    """Parcels x days after the promised day x the tier's cost of a day; a part counts by its share of the units."""
    if batch.tier not in case.campaign.tiers:
        return Fraction(0)
    here, whole = (
        (1, 1) if batch.parts == 1 or not batch.lines else units_share(case, batch.lines[0].line, batch.contents)
    )
    late_cost = exact(case.campaign.tiers[batch.tier].late_cost_per_day)
    return batch.parcels * days_late(case, batch, leaves) * late_cost * Fraction(here, whole)


def pallet_money(case: Case, dispatch: Dispatch) -> float:
    """What the pallets of a pick-up cost."""
    own = case.campaign.carriers.get(dispatch.carrier)
    if own is None or own.pallets is None:
        return 0.0
    return float(whole_up(Fraction(dispatch.parcels, own.pallets.parcels)) * exact(own.pallets.price))


def least_pallets(case: Case) -> float:
    """Money for as few pallets as each carrier's parcels fill."""
    money = Fraction(0)
    for name, own in case.campaign.carriers.items():
        if own.pallets is not None:
            parcels = sum(batch.parcels for batch in case.plan.batches if batch.carrier == name)
            money += whole_up(Fraction(parcels, own.pallets.parcels)) * exact(own.pallets.price)
    return float(money)


def carrier_troubles(case: Case, batch: PackBatch) -> Iterator[str]:
    """Whatever is wrong with the carrier of a batch.

    Which is cheapest is looked at where the tier chooses no carton: with one, each carrier's parcel may take another.
    """
    known = case.campaign.carriers
    if not known:
        if batch.carrier:
            yield f"it goes with `{batch.carrier}`, which the campaign does not have"
        return
    own = known.get(batch.carrier)
    if own is None:
        yield f"it goes with `{batch.carrier}`, which is none of the campaign's carriers"
        return
    for country in sorted({case.campaign.orders[line.line].country for line in batch.lines if _there(case, line.line)}):
        come = {name: own for name, own in known.items() if own.pick_ups.days or own.pick_ups.on_dates}
        could = [name for name, other in come.items() if not other.to or _named(case, other.to, country)]
        if batch.carrier not in could:
            yield f"`{batch.carrier}` does not go to {country}"
            continue
        paid = rate_of(case, batch, country)
        if own.rates and paid is None:
            yield f"no rate of `{batch.carrier}` takes it to {country}"
        kg = charged_kg(case, batch)
        if batch.box is not None or kg is None or paid is None:
            continue
        if own.max_kg is not None and kg > exact(own.max_kg):
            yield f"`{batch.carrier}` takes no parcel of {float(kg):g} kg"
        for name in could:
            weighed = batch.model_copy(update={"carrier": name})
            heavy = charged_of(case, weighed)
            most = known[name].max_kg
            if heavy is None or (most is not None and heavy > exact(most)):
                continue
            found = cheapest_of(case.campaign, weighed, country, heavy)
            if found is not None and found[0] < paid[0]:
                yield f"`{name}` takes it to {country} for {float(found[0]):.2f}, not {float(paid[0]):.2f}"


def waves_kept(case: Case, sent: dict[str, Dispatch]) -> Iterator[str]:
    """Batches that leave before all of the waves before theirs have left."""
    moments: dict[int, list[tuple[int, str]]] = {}
    for batch in case.plan.batches:
        tier = case.campaign.tiers.get(batch.tier)
        if tier is not None and tier.wave is not None and batch.id in sent:
            moments.setdefault(tier.wave, []).append((case.clock.second(sent[batch.id].at), batch.id))
    gone = -1
    for wave in sorted(moments):
        for at, name in moments[wave]:
            if at < gone:
                yield f"batch {name} of wave {wave} leaves {case.clock.say(at)}, before the waves before it have left"
        gone = max([gone, *(at for at, _ in moments[wave])])


def wave_before(case: Case, batch: PackBatch, sent: dict[str, Dispatch]) -> int:
    """The second at which the last of the waves before a batch's left; 0 where it waits for none."""
    tier = case.campaign.tiers.get(batch.tier)
    if tier is None or tier.wave is None:
        return 0
    before = [
        case.clock.second(sent[other.id].at)
        for other in case.plan.batches
        if other.id in sent and other.tier in case.campaign.tiers
        if (wave := case.campaign.tiers[other.tier].wave) is not None and wave < tier.wave
    ]
    return max(before, default=0)


def _there(case: Case, line: int) -> bool:
    return 0 <= line < len(case.campaign.orders)


def _named(case: Case, places: list[str], country: str) -> bool:
    return any(country in case.campaign.regions.get(place, [place]) for place in places)
