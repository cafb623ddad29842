"""Moulded items and bought-in pieces as goods with their supply, and the assembly jobs that take them."""

from math import ceil

from planner.calendars.clock import Clock
from planner.campaign import Campaign
from planner.demand.in_hand import taken_from_hand
from planner.demand.inspecting import bench_minutes, job_minutes
from planner.demand.items import Item, RunDemand, ordered_items, parts_of_unit
from planner.demand.parcels import Batch
from planner.schedule.encode.arrays import fraction, ints
from planner.schedule.encode.materials import bought_moment
from planner.schedule.instance import NEVER, Ints


class Goods:
    """Moulded items that units ask for, then bought-in pieces, with when they are there."""

    def __init__(self, campaign: Campaign, runs: list[RunDemand], clock: Clock) -> None:
        ordered = ordered_items(campaign)
        by_item = {item.item: (r, item) for r, run in enumerate(runs) for item in run.items}
        items = sorted(ordered)
        pieces = sorted(campaign.pieces)
        self.names: list[Item | str] = [*items, *pieces]
        self.index: dict[Item | str, int] = {name: n for n, name in enumerate(self.names)}
        run_of, stock, need, counting, rest = [], [], [], [], []
        pointers, moments, counts = [0], [], []
        for item in items:
            r, demand = by_item.get(item, (-1, None))
            if demand is None or demand.to_mould == 0:
                in_hand = sum(s.count for s in campaign.parts[item[0]].stock if tuple(s.colours) == item[1])
                moments.append(0)
                counts.append(in_hand)
                r, in_hand, q, n = -1, 0, 0, 0
            else:
                in_hand, q, n = demand.stock, demand.to_mould, demand.counting_shots
            run_of.append(r)
            stock.append(in_hand)
            need.append(q)
            counting.append(n)
            rest.append(ceil(fraction(campaign.parts[item[0]].rest_hours) * 3600))
            pointers.append(len(moments))
        for piece_id in pieces:
            piece = campaign.pieces[piece_id]
            have, latest = piece.stock, 0
            moments.append(0)
            counts.append(have)
            for arrival in sorted(piece.arrivals, key=lambda a: clock.seconds(a.on)):
                have += int(arrival.amount)
                latest = max(0, clock.seconds(arrival.on))
                moments.append(latest)
                counts.append(have)
            if piece.lead_days is not None:
                moments.append(max(latest, bought_moment(clock, piece.lead_days)))
                counts.append(NEVER)
            run_of.append(-1)
            stock.append(0)
            need.append(0)
            counting.append(0)
            rest.append(0)
            pointers.append(len(moments))
        self.run, self.stock, self.need = ints(run_of), ints(stock), ints(need)
        self.counting, self.rest = ints(counting), ints(rest)
        self.piece_ptr, self.piece_t, self.piece_count = ints(pointers), ints(moments), ints(counts)


def assembly_jobs(
    campaign: Campaign, runs: list[RunDemand], batches: list[Batch], goods: Goods
) -> tuple[list[tuple[int, str, str, int]], Ints, Ints, list[list[tuple[int, int]]]]:
    """Jobs as (batch, product, colourway, units), where each batch's begin, person-seconds, and what each takes."""
    jobs, pointers, work, needs = [], [0], [], []
    inspecting = bench_minutes(campaign, runs)
    for b, batch in enumerate(batches):
        for (product, colourway), per_parcel in batch.units:
            units = per_parcel * batch.parcels
            made = campaign.products[product]
            jobs.append((b, product, colourway, units))
            need = [
                (goods.index[item], n * units)
                for item, n in sorted(parts_of_unit(campaign, product, colourway).items())
            ]
            need += [(goods.index[piece], n * units) for piece, n in sorted(made.pieces.items())]
            needs.append(need)
        pointers.append(len(jobs))
    for (_, product, colourway, units), in_hand in zip(jobs, taken_from_hand(campaign, jobs), strict=True):
        work.append(ceil(60 * job_minutes(campaign, inspecting, product, colourway, units - in_hand)[0]))
    return jobs, ints(pointers), ints(work), needs
