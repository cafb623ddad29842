"""What benches have worked on, on its way to a bench at another place (RULES.md, F10).

What a bench has done for an assembly job goes on together, and so do all units of a pack batch.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import fsum

from planner.campaign import Campaign
from planner.demand.finishing import BenchWork, Job, Visit, ways_between


@dataclass(frozen=True)
class Carried:
    """One lot on its way. after: the bench it comes from, by its place among those between press and assembly;
    as many as there are: assembly. to: likewise; one more: packing. of: assembly job, or pack batch where it goes to
    packing. units: of the product, or of all products, in it."""

    of: int
    after: int
    to: int
    units: int
    visits: tuple[Visit, ...]


def way_between(campaign: Campaign, after: int, to: int) -> list[Visit]:
    """From one bench to another, counted as in `Carried`."""
    benches = [*campaign.finishing_benches.values(), campaign.assembly, campaign.packing]
    return ways_between(benches[after].place, benches[to].place)


def carried(campaign: Campaign, jobs: Sequence[Job]) -> list[Carried]:
    """All that goes from one bench to another at another place, job by job, then batch by batch."""
    if not campaign.places:
        return []
    found, last = [], len(campaign.finishing_benches)
    worked = {n: [last] for n in range(len(jobs))}
    for bench, job in BenchWork(campaign, jobs).jobs:
        worked[job].append(bench)
    for job, benches in worked.items():
        in_order = sorted(benches)
        for after, to in pairwise(in_order):
            found.append(Carried(job, after, to, jobs[job][3], tuple(way_between(campaign, after, to))))
    units: dict[int, int] = {}
    for batch, _, _, number in jobs:
        units[batch] = units.get(batch, 0) + number
    to_packing = tuple(way_between(campaign, last, last + 1))
    found += [Carried(batch, last, last + 1, number, to_packing) for batch, number in units.items()]
    return [one for one in found if one.visits]


def way_price(campaign: Campaign, visits: Sequence[Visit]) -> float:
    """Money for one lot on its way."""
    return fsum(campaign.places[visit.firm].lot_price for visit in visits)
