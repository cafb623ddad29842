"""Days parcels take from the hand-over to the door in a replication: legs, then the local parcel (RULES.md, B11)."""

from collections.abc import Iterable

import numpy as np

from planner.campaign import Campaign
from planner.demand.parcels import Batch
from planner.demand.parts import Pieces, Units
from planner.demand.postage import parcel_kg, postage, tariffs
from planner.promise.random_streams import uniforms
from planner.schedule.instance import Ints


class Ways:
    """Whole days in every replication, each from fewest to most as likely: nobody says which is. In each, all that goes
    with a carrier shares its draws, leg by leg and tariff by tariff."""

    def __init__(self, campaign: Campaign, replications: int, seed: int) -> None:
        self._campaign, self._replications, self._seed = campaign, replications, seed
        self._drawn: dict[str, Ints] = {}
        self._weighed: dict[tuple[str, Units, Pieces, str], float] = {}

    def of(self, batches: Iterable[Batch]) -> Ints | None:
        """(replications) days to the last door of these parcels; None where a tariff does not say how long it takes."""
        longest: Ints | None = None
        seen: set[tuple[str, int]] = set()
        for batch in batches:
            if not any(tariff.door_days for tariff in tariffs(self._campaign, batch.carrier)):
                return None
            kg = self._kg(batch)
            for country in sorted({self._campaign.orders[line].country for line, _ in batch.lines}):
                rate = postage(self._campaign, kg, country, batch.carrier)
                if rate is None or rate.tariff.door_days is None:
                    return None
                way = batch.carrier, rate.tariff.number
                if way in seen:
                    continue
                seen.add(way)
                name = f"carrier/{batch.carrier}/door/{rate.tariff.number}"
                days = self._legs(batch.carrier) + self._draw(name, rate.tariff.door_days)
                longest = days if longest is None else np.maximum(longest, days)
        return longest

    def _kg(self, batch: Batch) -> float:
        """What a parcel of a batch is charged for; those alike are weighed once."""
        alike = batch.tier, batch.units, batch.pieces, batch.carrier
        if alike not in self._weighed:
            self._weighed[alike] = parcel_kg(self._campaign, *alike)
        return self._weighed[alike]

    def _legs(self, carrier: str) -> Ints:
        days = np.zeros(self._replications, dtype=np.int64)
        own = self._campaign.carriers.get(carrier)
        for n, leg in enumerate(own.legs if own is not None else []):
            days += self._draw(f"carrier/{carrier}/leg/{n}", leg.days)
        return days

    def _draw(self, name: str, span: tuple[int, int]) -> Ints:
        if name not in self._drawn:
            few, most = span
            found = few + np.floor(uniforms(self._seed, name, self._replications) * (most - few + 1)).astype(np.int64)
            self._drawn[name] = np.minimum(found, most)
        return self._drawn[name]
