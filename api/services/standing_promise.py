"""How sure a plan's dates are, as far as the workers have said: the standing promise of every plan."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from math import sqrt

from api.service import Service
from planner.promise.document import CONFIDENCE, Promise, TierPromise
from planner.studies.promise import PRELIMINARY, chance_asked
from worker.records import events, studies
from worker.records.studies import StudyRow

MOST = 100
"""Of a plan's promises so many of the newest are looked through."""


@dataclass(frozen=True)
class Sure:
    """The day by which a tier's last parcel has left in half, in the share picked, in nineteen of twenty simulations.

    chance: share of them in which all of it leaves by the promised day; None: nothing promised. regions: where parcels
    go to several, or the door is promised, region -> how sure its own last parcel is. share: how sure `by` is, as the
    maker picked it last.
    """

    p50: date
    by: date
    p95: date
    chance: float | None = None
    regions: Mapping[str, "SureThere"] = field(default_factory=dict)
    share: float = CONFIDENCE

    @property
    def percentile(self) -> str:
        """`P80`."""
        return percentile(self.share)


@dataclass(frozen=True)
class SureThere:
    """Of a tier to one region: the day that holds in the share picked, of what is promised there. door: whether that is
    a day at the door."""

    by: date
    promised: date | None
    chance: float | None
    door: bool


@dataclass(frozen=True)
class HowSure:
    """What is known of a plan's dates. study: the promise's id, "" where nobody asked; at_work: it is being simulated,
    and what is there is what the first replications say.

    tiers: those whose dates could be simulated. on_time: share of replications in which every promise is kept. share:
    how sure the days are that stand first, as the maker picked it last.
    """

    study: str = ""
    at_work: bool = False
    tiers: dict[str, Sure] | None = None
    replications: int = 0
    on_time: float | None = None
    share: float = CONFIDENCE

    @property
    def give_or_take(self) -> float:
        """Two standard errors of `on_time`, a share; 0 where it is not known."""
        return 0.0 if self.on_time is None else two_errors(self.on_time, self.replications)


def two_errors(share: float, replications: int) -> float:
    """Half the width of a share's interval of 95 % (A. Agresti, B. Coull, American Statistician 52(2) 1998, from
    memory: two successes and two failures more), so that one that never failed is not said to be certain."""
    about, number = (share * replications + 2) / (replications + 4), replications + 4
    return 2 * sqrt(about * (1 - about) / number)


def how_sure(service: Service, workshop_id: str, plan_id: str, revision: int, first_look: bool = False) -> HowSure:
    """Of that revision, which the caller has found to be the workshop's; at the chance the maker picked last.

    first_look: also what the first replications say while the others are followed, for whoever shows how many they are.
    """
    with service.database.read() as connection:
        asked = [
            row
            for row in studies.page(connection, workshop_id, plan_id, MOST, kind="promise")
            if row.revision == revision and _standing(row)
        ]
        row = next((row for row in asked if row.status == "done"), None)
        if row is None:
            at_work = next((row for row in asked if not row.finished and not row.stop_requested), None)
            if at_work is None:
                return HowSure()
            early = events.latest_said(connection, at_work.id, PRELIMINARY) if first_look else None
            return HowSure(at_work.id, at_work=True) if early is None else _known(at_work.id, True, early)
        text = studies.result(connection, row.id)
    return HowSure(row.id) if text is None else _known(row.id, False, text)


def _known(study: str, at_work: bool, text: str) -> HowSure:
    promise = Promise.model_validate_json(text)
    return HowSure(study, at_work, sure_of(promise), promise.replications, promise.on_time, promise.confidence)


def _standing(row: StudyRow) -> bool:
    """Whether it is what is asked of every plan, at whatever chance."""
    return chance_asked(json.loads(row.question)) is not None


def percentile(share: float) -> str:
    """`P80`."""
    return f"P{round(100 * share)}"


def sure_of(promise: Promise) -> dict[str, Sure]:
    """By tier, those of which all three days are known."""
    return {
        tier.tier: Sure(
            tier.dates.p50, tier.announce, tier.dates.p95, tier.chance, dict(_regions(tier)), promise.confidence
        )
        for tier in promise.tiers
        if tier.dates.p50 and tier.announce and tier.dates.p95
    }


def _regions(tier: TierPromise) -> Iterator[tuple[str, SureThere]]:
    to_door = tier.promised_to == "door"
    if len(tier.regions) < 2 and not to_door:
        return
    for one in tier.regions:
        at_door = to_door and one.door is not None
        day = one.door.announce if to_door and one.door is not None else one.announce
        if day is not None:
            yield one.region, SureThere(day, one.promised, one.chance, at_door)
