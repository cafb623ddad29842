"""With which pick-up each batch of a scenario leaves, and what that costs (A13): B8, B10 and B11, walked through anew.

Batches take room in order of packing, wave after wave. What pallets cost counts with lateness: both depend on who
leaves when.
"""

from collections import Counter
from datetime import date, timedelta
from fractions import Fraction
from typing import NamedTuple

from planner.audit.a10_parcels import is_pick_up_day, pick_up_on
from planner.audit.anew_purges import CannotTell
from planner.audit.carriers import hand_over_by
from planner.audit.case import Case
from planner.audit.figures import exact, whole_up
from planner.audit.parts import units_share
from planner.campaign.benches import PickUps
from planner.plan.document import PackBatch


class Parcels(NamedTuple):
    """A batch to be picked up. wave: its place among the waves, None: it waits for none; due: day by which it should
    leave; late: money for each day after it; weight: by parcels and priority."""

    parcels: int
    carrier: str
    wave: int | None
    due: date | None
    late: float
    weight: float


class PickUp(NamedTuple):
    """at: UTC second; on: the day by the campaign's calendar."""

    at: int
    on: date


class Left(NamedTuple):
    """money: for lateness and pallets; mean: UTC second at which batches leave, by weight."""

    money: float
    mean: float


class Leaving:
    """The carriers of one case."""

    def __init__(self, case: Case) -> None:
        self.case, campaign = case, case.campaign
        waves = sorted({tier.wave for tier in campaign.tiers.values() if tier.wave is not None})
        self.waves = max(1, len(waves))
        self.batches = {batch.id: self._parcels(batch, waves) for batch in case.plan.batches}
        own = {name: one.pick_ups for name, one in campaign.carriers.items()} or {"": campaign.pick_ups}
        self.most = {name: said.parcels for name, said in own.items()}
        self.pick_ups = {name: self._of(said) for name, said in own.items()}
        self.pallets = {name: one.pallets for name, one in campaign.carriers.items() if one.pallets is not None}

    def _of(self, said: PickUps) -> list[PickUp]:
        case, found = self.case, []
        day = case.clock.day(case.start) - timedelta(days=1)
        while day <= case.last_day:
            if is_pick_up_day(case, said, day):
                at = pick_up_on(case, said, day)
                if at >= case.start:
                    found.append(PickUp(at, case.clock.day(at)))
            day += timedelta(days=1)
        return found

    def _parcels(self, batch: PackBatch, waves: list[int]) -> Parcels:
        case = self.case
        tier = case.campaign.tiers[batch.tier]
        here, whole = 1, 1
        if batch.parts > 1 and batch.lines:
            here, whole = units_share(case, batch.lines[0].line, batch.contents)
        late = batch.parcels * exact(tier.late_cost_per_day) * Fraction(here, whole)
        wave = None if tier.wave is None else waves.index(tier.wave)
        weight = float(batch.parcels * (10 - tier.priority))
        return Parcels(batch.parcels, batch.carrier, wave, hand_over_by(case, batch), float(late), weight)

    def gone(self, packed: list[tuple[int, str]], late_days: int) -> Left:
        """packed: (when, batch) in order of packing; late_days: by which the carrier comes later."""
        loaded: Counter[tuple[str, int]] = Counter()
        money = weighted = weights = 0.0
        before = 0
        for wave in range(self.waves):
            latest = before
            for end, name in packed:
                one = self.batches[name]
                if one.wave != wave and not (one.wave is None and wave == 0):
                    continue
                ready = end if one.wave is None else max(end, before)
                k = self._room(one, ready, loaded)
                loaded[one.carrier, k] += one.parcels
                at, on = self.pick_ups[one.carrier][k]
                if one.due is not None:
                    money += max(0, (on + timedelta(days=late_days) - one.due).days) * one.late
                if one.wave is not None:
                    latest = max(latest, at)
                weighted += one.weight * at
                weights += one.weight
            before = latest
        for (carrier, _), parcels in loaded.items():
            pallets = self.pallets.get(carrier)
            if pallets is not None:
                money += float(whole_up(Fraction(parcels, pallets.parcels)) * exact(pallets.price))
        return Left(money, weighted / weights if weights else 0.0)

    def _room(self, one: Parcels, ready: int, loaded: Counter[tuple[str, int]]) -> int:
        """The first pick-up of its carrier from then on with room for it."""
        for k, pick_up in enumerate(self.pick_ups[one.carrier]):
            if pick_up.at >= ready and loaded[one.carrier, k] + one.parcels <= self.most[one.carrier]:
                return k
        raise CannotTell
