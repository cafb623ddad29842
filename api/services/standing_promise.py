"""How sure a plan's dates are, as far as the workers have said: the standing promise of every plan."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date

from api.service import Service
from planner.promise.document import Promise, TierPromise
from planner.studies.promise import STANDING, STANDING_BEFORE
from worker.records import studies
from worker.records.studies import Question


@dataclass(frozen=True)
class Sure:
    """The day by which a tier's last parcel has left in half, in four of five, in nineteen of twenty simulations.

    chance: share of them in which all of it leaves by the promised day; None: nothing promised. regions: where parcels
    go to several, or the door is promised, region -> how sure its own last parcel is.
    """

    p50: date
    p80: date
    p95: date
    chance: float | None = None
    regions: Mapping[str, "SureThere"] = field(default_factory=dict)


@dataclass(frozen=True)
class SureThere:
    """Of a tier to one region: the day that holds in four of five simulations, of what is promised there. door:
    whether that is a day at the door."""

    p80: date
    promised: date | None
    chance: float | None
    door: bool


@dataclass(frozen=True)
class HowSure:
    """What is known of a plan's dates. study: the promise's id, "" where nobody asked; at_work: it is being simulated.

    tiers: those whose dates could be simulated. on_time: share of replications in which every promise is kept.
    """

    study: str = ""
    at_work: bool = False
    tiers: dict[str, Sure] | None = None
    replications: int = 0
    on_time: float | None = None


def how_sure(service: Service, workshop_id: str, plan_id: str, revision: int) -> HowSure:
    """Of that revision, which the caller has found to be the workshop's."""
    with service.database.read() as connection:
        asked = (Question(plan_id, revision, "promise", one, "") for one in (STANDING, STANDING_BEFORE))
        row = next((row for one in asked if (row := studies.alike(connection, workshop_id, one)) is not None), None)
        if row is None:
            return HowSure()
        if not row.finished:
            return HowSure(row.id, at_work=True)
        text = studies.result(connection, row.id)
    if text is None:
        return HowSure(row.id)
    promise = Promise.model_validate_json(text)
    return HowSure(row.id, False, sure_of(promise), promise.replications, promise.on_time)


def sure_of(promise: Promise) -> dict[str, Sure]:
    """By tier, those of which all three days are known."""
    return {
        tier.tier: Sure(tier.dates.p50, tier.dates.p80, tier.dates.p95, tier.chance, dict(_regions(tier)))
        for tier in promise.tiers
        if tier.dates.p50 and tier.dates.p80 and tier.dates.p95
    }


def _regions(tier: TierPromise) -> Iterator[tuple[str, SureThere]]:
    to_door = tier.promised_to == "door"
    if len(tier.regions) < 2 and not to_door:
        return
    for one in tier.regions:
        at_door = to_door and one.door is not None
        day = one.door.p80 if to_door and one.door is not None else one.dates.p80
        if day is not None:
            yield one.region, SureThere(day, one.promised, one.chance, at_door)
