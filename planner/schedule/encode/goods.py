"""Moulded items and bought-in pieces as goods with their supply, and the assembly jobs that take them."""

from math import ceil
from operator import itemgetter
from typing import NamedTuple

import numpy as np

from planner.calendars.clock import Clock
from planner.calendars.stretches import stretches
from planner.campaign import Campaign
from planner.demand.finishing import BenchWork, Job, Journeys, lot_of, visits
from planner.demand.in_hand import taken_from_hand
from planner.demand.inspecting import bench_minutes, job_minutes
from planner.demand.items import (
    Item,
    ItemDemand,
    RunDemand,
    in_hand,
    ordered_items,
    parts_of_unit,
    pieces_at_shots,
    put_together,
    taken_at_shots,
)
from planner.demand.parcels import Batch, pieces_used
from planner.material.piece_orders import cheapest_order, lots
from planner.schedule.encode.arrays import fraction, ints, pointers
from planner.schedule.encode.materials import bought_moment
from planner.schedule.instance import NEVER, Instance, Ints


class Opening(str):
    """Orders that can be packed from a day on: a good that is there from its first moment, as many as anybody asks."""

    __slots__ = ()


class MadeWith(NamedTuple):
    """What one of several tools makes of an item: a good that the item's own draws on."""

    item: Item
    tool: str


class Goods:
    """Moulded items that units ask for, bought-in pieces, days from which orders can be packed: when they are there."""

    def __init__(
        self, campaign: Campaign, runs: list[RunDemand], batches: list[Batch], clock: Clock, days: int
    ) -> None:
        ordered = ordered_items(campaign)
        by_item = {item.item: (r, item) for r, run in enumerate(runs) for item in run.items if not item.shared}
        by_tool: dict[Item, list[tuple[int, ItemDemand]]] = {}
        for r, run in enumerate(runs):
            for share in run.items:
                if share.shared and share.to_mould:
                    by_tool.setdefault(share.item, []).append((r, share))
        for item, those in by_tool.items():
            by_item[item] = those[0][0], put_together(share for _, share in those)[item]
        items = sorted(ordered)
        pieces = sorted(campaign.pieces)
        days_open = sorted({batch.opens for batch in batches if batch.opens is not None})
        self.names: list[Item | MadeWith | str] = [
            *items,
            *pieces,
            *(Opening(f"orders open {day}") for day in days_open),
        ]
        self.index: dict[Item | MadeWith | str, int] = {name: n for n, name in enumerate(self.names)}
        run_of: list[int] = []
        stock, need, counting, rest = [], [], [], []
        self.moulded, self.lots = [0] * len(self.names), [0] * len(self.names)
        self.trips: list[list[tuple[int, int]]] = [[] for _ in self.names]
        self._travel(campaign, items, Journeys(campaign, clock, days))
        ends, moments, counts = [0], [], []
        used = pieces_used(campaign, batches)
        at_shots = pieces_at_shots(campaign, runs)
        self.taken = taken_at_shots(campaign)
        for item in items:
            r, demand = by_item.get(item, (-1, None))
            if demand is None or demand.to_mould == 0:
                finished, moulded = in_hand(campaign, item)
                finished -= self.taken[item]
                moments.append(0)
                counts.append(finished)
                if moulded:
                    back = next((back for _, back in self.trips[len(run_of)]), NEVER)
                    moments.append(back if visits(campaign, item[0]) else 0)
                    counts.append(finished + moulded)
                self.moulded[len(run_of)] = 0
                r, finished, q, n = -1, 0, 0, 0
            else:
                finished, q, n = in_hand(campaign, item)[0] - self.taken[item], demand.to_mould, demand.counting_shots
            run_of.append(r)
            stock.append(finished)
            need.append(q)
            counting.append(n)
            rest.append(ceil(fraction(campaign.parts[item[0]].rest_hours) * 3600))
            ends.append(len(moments))
        for piece_id in pieces:
            piece = campaign.pieces[piece_id]
            have, latest = piece.stock - at_shots[piece_id], 0  # moulds are served first
            moments.append(0)
            counts.append(have)
            agreed = [(clock.seconds(arrival.on), int(arrival.amount)) for arrival in piece.arrivals]
            agreed += [(bought_moment(clock, other.lead_days), other.pieces) for other in piece.also_from]
            for moment, amount in sorted(agreed, key=itemgetter(0)):
                have += amount
                latest = max(0, moment)
                moments.append(latest)
                counts.append(have)
            order = cheapest_order(piece, max(0, used[piece_id] - have))
            come = lots(piece, order.pieces)
            for n, (days, amount) in enumerate(come, start=1):
                have += amount
                moments.append(max(latest, bought_moment(clock, days)))
                counts.append(have if n < len(come) else NEVER)
            run_of.append(-1)
            stock.append(0)
            need.append(0)
            counting.append(0)
            rest.append(0)
            ends.append(len(moments))
        for day in days_open:
            moments.append(max(0, clock.seconds(day)))
            counts.append(NEVER)
            ends.append(len(moments))
        for column in (run_of, stock, need, counting, rest):
            column += [-1 if column is run_of else 0] * len(days_open)
        self._tools(runs, by_tool, (run_of, stock, need, counting, rest, ends))
        self.run, self.stock, self.need = ints(run_of), ints(stock), ints(need)
        self.counting, self.rest = ints(counting), ints(rest)
        self.piece_ptr, self.piece_t, self.piece_count = ints(ends), ints(moments), ints(counts)

    def _tools(
        self,
        runs: list[RunDemand],
        by_tool: dict[Item, list[tuple[int, ItemDemand]]],
        columns: tuple[list[int], list[int], list[int], list[int], list[int], list[int]],
    ) -> None:
        """Goods behind all others for what each of several tools makes of an item, and where those of an item stand."""
        run_of, stock, need, counting, rest, ends = columns
        self.first_source, self.last_source = [0] * len(self.names), [0] * len(self.names)
        for item, those in by_tool.items():
            g = self.index[item]
            self.first_source[g], self.last_source[g] = len(self.names), len(self.names) + len(those)
            for r, share in those:
                self.names.append(MadeWith(item, runs[r].tool))
                for column, value in ((run_of, r), (need, share.to_mould), (counting, share.counting_shots)):
                    column.append(value)
                stock.append(0)
                rest.append(rest[g])
                ends.append(ends[-1])
        extra = len(self.names) - len(self.first_source)
        for column in (self.first_source, self.last_source, self.moulded, self.lots):
            column += [0] * extra
        self.trips += [[] for _ in range(extra)]

    def _travel(self, campaign: Campaign, items: list[Item], journeys: Journeys) -> None:
        """What each moulded item waits for between press and assembly."""
        for g, item in enumerate(items):
            self.moulded[g] = in_hand(campaign, item)[1]
            self.trips[g] = journeys.all(item[0])
            if self.trips[g] or visits(campaign, item[0]):
                self.lots[g] = lot_of(campaign, item[0]) or NEVER

    @property
    def sent_out(self) -> bool:
        """Whether any part waits for a journey, or is in hand unfinished."""
        return any(self.moulded) or any(self.lots)

    def packed(self, batch: Batch) -> list[tuple[int, int]]:
        """(good, number) of what packing a batch takes."""
        opening = [(self.index[f"orders open {batch.opens}"], batch.parcels)] if batch.opens is not None else []
        return [*((self.index[piece], n * batch.parcels) for piece, n in batch.pieces), *opening]


def with_finishing(
    inst: Instance, campaign: Campaign, goods: Goods, jobs: list[Job], clock: Clock, days: int
) -> Instance:
    """The instance with what happens to parts between press and assembly."""
    if goods.sent_out:
        inst = inst._replace(
            sent_out=1,
            good_moulded=ints(goods.moulded),
            good_lot=ints(goods.lots),
            trip_ptr=pointers(goods.trips),
            trip_leaves=ints(leaves for trips in goods.trips for leaves, _ in trips),
            trip_back=ints(back for trips in goods.trips for _, back in trips),
        )
    work = BenchWork(campaign, jobs)
    if not work.jobs:
        return inst
    hours = [
        stretches(bench, campaign.closed_days, clock, days, bench.people, headcount=True)
        for bench in campaign.finishing_benches.values()
    ]
    benches, number = range(len(hours)), range(len(jobs))
    first = np.full(inst.job_good.size, len(hours), dtype=np.int64)
    for job in number:
        for i in range(inst.job_need_ptr[job], inst.job_need_ptr[job + 1]):
            good = goods.names[inst.job_good[i]]
            if isinstance(good, str):
                first[i] = len(hours) if isinstance(good, Opening) else work.first_of_piece(good, job)
            elif not isinstance(good, MadeWith):
                first[i] = work.first(good[0], job)
    return inst._replace(
        finishing=len(hours),
        finish_ptr=pointers(hours),
        finish_start=ints(s.start for bench in hours for s in bench),
        finish_end=ints(s.end for bench in hours for s in bench),
        finish_people=ints(s.people for bench in hours for s in bench),
        finish_work=np.array([[work.seconds(bench, job) for job in number] for bench in benches], dtype=np.int64),
        finish_rest=np.array([[work.rest_s(bench, job) for job in number] for bench in benches], dtype=np.int64),
        need_first=first,
    )


def assembly_jobs(
    campaign: Campaign, runs: list[RunDemand], batches: list[Batch], goods: Goods
) -> tuple[list[tuple[int, str, str, int]], Ints, Ints, list[list[tuple[int, int]]]]:
    """Jobs as (batch, product, colourway, units), where each batch's begin, person-seconds, and what each takes."""
    jobs, ends, work, needs = [], [0], [], []
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
        ends.append(len(jobs))
    for (_, product, colourway, units), assembled in zip(jobs, taken_from_hand(campaign, jobs), strict=True):
        work.append(ceil(60 * job_minutes(campaign, inspecting, product, colourway, units - assembled)[0]))
    return jobs, ints(ends), ints(work), needs
