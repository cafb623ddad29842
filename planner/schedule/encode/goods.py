"""Moulded items and bought-in pieces as goods with their supply, and the assembly jobs that take them."""

from collections.abc import Sequence
from math import ceil
from operator import itemgetter
from typing import Any, NamedTuple

import numpy as np

from planner.calendars.clock import Clock
from planner.campaign import Campaign
from planner.demand.carried import carried
from planner.demand.finishing import (
    BenchWork,
    Job,
    Journeys,
    Visit,
    shares_apart,
    tools_of,
    transfer_lot_parts,
    visits,
)
from planner.demand.in_hand import taken_from_hand
from planner.demand.inspecting import bench_minutes, job_minutes
from planner.demand.into_moulds import IntoMoulds
from planner.demand.items import (
    Item,
    ItemDemand,
    RunDemand,
    in_hand,
    ordered_items,
    parts_of_unit,
    put_together,
)
from planner.demand.parcels import Batch, pieces_used
from planner.material.piece_orders import cheapest_order, part_deliveries
from planner.schedule.encode.arrays import fraction, ints, pointers
from planner.schedule.encode.bench_hours import bench_hours
from planner.schedule.encode.materials import bought_moment
from planner.schedule.instance import NEVER, Instance


class Opening(str):
    """Orders that can be packed from a day on: a good that is there from its first moment, as many as anybody asks."""

    __slots__ = ()


class MadeWith(NamedTuple):
    """What one of several tools makes of an item: a good that the item's own draws on."""

    item: Item
    tool: str


_Made = tuple[int, ItemDemand]
"""A run demand by its index, and what it makes of an item."""


class _Row(NamedTuple):
    """A good in the arrays of an Instance. there: moments, and how many are there by then beside what a run makes."""

    run: int = -1
    stock: int = 0
    need: int = 0
    counting: int = 0
    rest: int = 0
    there: Sequence[tuple[int, int]] = ()


class Goods:
    """Moulded items that units ask for, bought-in pieces, days from which orders can be packed: when they are there."""

    def __init__(
        self,
        campaign: Campaign,
        runs: list[RunDemand],
        batches: list[Batch],
        clock: Clock,
        days: int,
        into: IntoMoulds,
    ) -> None:
        self._campaign, self._clock, self.into = campaign, clock, into
        items, pieces = sorted(ordered_items(campaign)), sorted(campaign.pieces)
        days_open = sorted({batch.opens for batch in batches if batch.opens is not None})
        self.names: list[Item | MadeWith | str] = [
            *items,
            *pieces,
            *(Opening(f"orders open {day}") for day in days_open),
        ]
        self.index: dict[Item | MadeWith | str, int] = {name: n for n, name in enumerate(self.names)}
        self.moulded, self.transfer_lots = [0] * len(self.names), [0] * len(self.names)
        self.trips: list[list[tuple[int, int]]] = [[] for _ in self.names]
        by_item, by_tool = _made(runs)
        self._apart = shares_apart(campaign, runs)
        self._travel(campaign, items, runs, Journeys(campaign, clock, days))
        used = pieces_used(campaign, batches)
        rows = [self._item(item, by_item.get(item)) for item in items]
        rows += [self._piece(piece, used[piece]) for piece in pieces]
        rows += [_Row(there=[(max(0, clock.seconds(day)), NEVER)]) for day in days_open]
        self._rows = rows + self._tools(runs, by_tool, rows, Journeys(campaign, clock, days))
        self.rest = ints(row.rest for row in self._rows)
        self.piece_ptr = pointers([row.there for row in self._rows])
        self.piece_t = ints(moment for row in self._rows for moment, _ in row.there)
        self.piece_count = ints(count for row in self._rows for _, count in row.there)

    def fields(self) -> dict[str, Any]:
        """Fields of an Instance."""
        return {
            "good_run": ints(row.run for row in self._rows),
            "good_stock": ints(row.stock for row in self._rows),
            "good_need": ints(row.need for row in self._rows),
            "good_count_shots": ints(row.counting for row in self._rows),
            "good_rest_s": self.rest,
            "piece_ptr": self.piece_ptr,
            "piece_t": self.piece_t,
            "piece_count": self.piece_count,
        }

    def _item(self, item: Item, made: _Made | None) -> _Row:
        """made: the run that moulds it, and how many it has to."""
        rest = ceil(fraction(self._campaign.parts[item[0]].rest_hours) * 3600)
        finished, moulded = in_hand(self._campaign, item)
        finished -= self.into.parts[item]
        if made is not None and made[1].to_mould:
            return _Row(made[0], finished, made[1].to_mould, made[1].counting_shots, rest)
        there, good = [(0, finished)], self.index[item]
        if moulded:
            back = next((back for _, back in self.trips[good]), NEVER)
            there.append((back if visits(self._campaign, item[0]) else 0, finished + moulded))
        self.moulded[good] = 0
        return _Row(rest=rest, there=there)

    def _piece(self, piece_id: str, used: int) -> _Row:
        """used: by packing and assembly. Moulds are served first."""
        piece, clock = self._campaign.pieces[piece_id], self._clock
        have, latest = piece.stock - self.into.pieces[piece_id], 0
        there = [(0, have)]
        agreed = [(clock.seconds(arrival.on), int(arrival.amount)) for arrival in piece.arrivals]
        agreed += [(bought_moment(clock, other.lead_days), other.pieces) for other in piece.also_from]
        for moment, amount in sorted(agreed, key=itemgetter(0)):
            have += amount
            latest = max(0, moment)
            there.append((latest, have))
        come = part_deliveries(piece, cheapest_order(piece, max(0, used - have)).pieces)
        if piece_id in self.into.more:  # an order may be larger, and its first delivery with it
            come = come[:1]
        for n, (days, amount) in enumerate(come, start=1):
            have += amount
            there.append((max(latest, bought_moment(clock, days)), have if n < len(come) else NEVER))
        return _Row(there=there)

    def _tools(
        self, runs: list[RunDemand], by_tool: dict[Item, list[_Made]], rows: list[_Row], journeys: Journeys
    ) -> list[_Row]:
        """Goods behind all others for what each of several tools makes of an item, and where those of an item stand;
        what is made at several places travels from each in lots of its own."""
        more: list[_Row] = []
        self.first_source, self.last_source = [0] * len(self.names), [0] * len(self.names)
        for item, those in by_tool.items():
            g = self.index[item]
            self.first_source[g], self.last_source[g] = len(self.names), len(self.names) + len(those)
            for r, share in those:
                self.names.append(MadeWith(item, runs[r].tool))
                more.append(_Row(r, need=share.to_mould, counting=share.counting_shots, rest=rows[g].rest))
        for column in (self.first_source, self.last_source, self.moulded):
            column += [0] * len(more)
        for made in self.names[len(rows) :]:
            assert isinstance(made, MadeWith)
            apart = self._apart.get(made.item, {})
            going = visits(self._campaign, made.item[0], [made.tool]) if made.tool in apart else []
            self.trips.append(journeys.all_along(going))
            self.transfer_lots.append((transfer_lot_parts(self._campaign, going) or NEVER) if going else 0)
        return more

    def _travel(self, campaign: Campaign, items: list[Item], runs: list[RunDemand], journeys: Journeys) -> None:
        """What each moulded item waits for between press and assembly. Of what is made at several places that is what
        is in hand unfinished."""
        tools = tools_of(campaign, runs)
        for g, item in enumerate(items):
            self.moulded[g] = in_hand(campaign, item)[1]
            going = visits(campaign, item[0], None if item in self._apart else tools.get(item))
            self.trips[g] = journeys.all_along(going)
            if going and item not in self._apart:
                self.transfer_lots[g] = transfer_lot_parts(campaign, going) or NEVER

    @property
    def sent_out(self) -> bool:
        """Whether any part waits for a journey, or is in hand unfinished."""
        return any(self.moulded) or any(self.transfer_lots)

    def packed(self, batch: Batch) -> list[tuple[int, int]]:
        """(good, number) of what packing a batch takes."""
        opening = [(self.index[f"orders open {batch.opens}"], batch.parcels)] if batch.opens is not None else []
        return [*((self.index[piece], n * batch.parcels) for piece, n in batch.pieces), *opening]


def _made(runs: list[RunDemand]) -> tuple[dict[Item, _Made], dict[Item, list[_Made]]]:
    """Item -> the run that moulds it; and the runs of those that several tools mould, whose first stands for all."""
    by_item = {item.item: (r, item) for r, run in enumerate(runs) for item in run.items if not item.shared}
    by_tool: dict[Item, list[_Made]] = {}
    for r, run in enumerate(runs):
        for share in run.items:
            if share.shared and share.to_mould:
                by_tool.setdefault(share.item, []).append((r, share))
    for item, those in by_tool.items():
        by_item[item] = those[0][0], put_together(share for _, share in those)[item]
    return by_item, by_tool


def with_finishing(
    inst: Instance, campaign: Campaign, goods: Goods, jobs: list[Job], clock: Clock, days: int
) -> Instance:
    """The instance with what happens to parts between press and assembly."""
    ways = _between_benches(campaign, jobs)
    if goods.sent_out or ways:
        journeys = Journeys(campaign, clock, days)
        trips = [*goods.trips, *(journeys.all_along(way) for way in dict.fromkeys(ways.values()))]
        inst = inst._replace(
            sent_out=1,
            good_moulded=ints(goods.moulded),
            good_lot=ints(goods.transfer_lots),
            trip_ptr=pointers(trips),
            trip_leaves=ints(leaves for some in trips for leaves, _ in some),
            trip_back=ints(back for some in trips for _, back in some),
        )
    if ways:
        row = {way: len(goods.trips) + n for n, way in enumerate(dict.fromkeys(ways.values()))}
        carry = np.full((len(campaign.finishing_benches) + 2,) * 2, -1, dtype=np.int64)
        for (after, to), way in ways.items():
            carry[after, to] = row[way]
        inst = inst._replace(carrying=1, carry_way=carry)
    work = BenchWork(campaign, jobs)
    if not work.jobs:
        return inst
    benches, number = range(len(campaign.finishing_benches)), range(len(jobs))
    seconds = np.array([[work.seconds(bench, job) for job in number] for bench in benches], dtype=np.int64)
    hours = [
        bench_hours(campaign, bench, clock, days, bool((mine > 0).any()))
        for bench, mine in zip(campaign.finishing_benches.values(), seconds, strict=True)
    ]
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
        finish_work=seconds,
        finish_rest=np.array([[work.rest_s(bench, job) for job in number] for bench in benches], dtype=np.int64),
        need_first=first,
    )


def _between_benches(campaign: Campaign, jobs: list[Job]) -> dict[tuple[int, int], tuple[Visit, ...]]:
    """(bench, bench) -> the way of what goes from one to the other, where anything does."""
    return {(one.after, one.to): one.visits for one in carried(campaign, jobs)}


def assembly_jobs(
    campaign: Campaign, runs: list[RunDemand], batches: list[Batch], goods: Goods
) -> tuple[list[Job], dict[str, Any]]:
    """Jobs, batch by batch; and fields of an Instance: where a batch's begin, how long each is, what it takes."""
    jobs: list[Job] = []
    ends, needs = [0], []
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
    work = [
        ceil(60 * job_minutes(campaign, inspecting, product, colourway, units - assembled)[0])
        for (_, product, colourway, units), assembled in zip(jobs, taken_from_hand(campaign, jobs), strict=True)
    ]
    return jobs, {
        "job_ptr": ints(ends),
        "job_work": ints(work),
        "job_need_ptr": pointers(needs),
        "job_good": ints(good for need in needs for good, _ in need),
        "job_qty": ints(number for need in needs for _, number in need),
    }
