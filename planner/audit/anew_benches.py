"""When batches of a scenario are assembled, packed and picked up (A13): the rules of section B, walked through anew.

Parts and pieces are handed out in the order of service, those that are complete later than planned after those complete
sooner; of what is complete, the planned order is kept (S4.2). Moments are UTC seconds.
"""

import heapq
from bisect import bisect_left
from collections import Counter, defaultdict
from collections.abc import Iterable
from datetime import date, timedelta
from fractions import Fraction
from itertools import accumulate
from math import ceil
from typing import NamedTuple

from planner.audit.a09_people import assembly_minutes
from planner.audit.a10_parcels import is_pick_up_day, pick_up_on
from planner.audit.anew_presses import CannotBeDone, Lot, Worked
from planner.audit.anew_purges import CannotTell
from planner.audit.carriers import hand_over_by
from planner.audit.case import Case
from planner.audit.figures import exact, whole_up
from planner.audit.needs import Item
from planner.audit.opening import Shift
from planner.audit.parts import units_share
from planner.audit.pieces import agreed, part_deliveries
from planner.audit.sampling import bench_minutes
from planner.plan.document import PackBatch

NEVER = 1 << 60
Good = Item | str
"""A moulded item or a bought-in piece."""


class Job(NamedTuple):
    """Units to assemble. needs: good -> number; work: person-seconds."""

    needs: list[tuple[Good, int]]
    work: int


class Batch(NamedTuple):
    """Parcels to pack. needs: pieces; opens: not packed before; due: day by which it should leave; late: money for each
    day after it."""

    jobs: list[Job]
    needs: list[tuple[Good, int]]
    work: int
    parcels: int
    opens: int
    due: date | None
    late: float


class Things(NamedTuple):
    """What benches take in a scenario. counting: item -> shots until it has its good parts; piece_late: seconds by
    which deliveries come later; share: of the benches' time; late_days: of the carrier; known: from when batches that
    are not common may be worked on."""

    counting: dict[Item, int]
    piece_late: dict[str, int]
    share: dict[str, float]
    late_days: int
    common: frozenset[str] | None
    known: int


class Benches:
    """The benches and the carrier of one case."""

    def __init__(self, case: Case) -> None:
        self.case, campaign = case, case.campaign
        inspecting = bench_minutes(case)
        self.batches: dict[str, Batch] = {}
        for batch in case.plan.batches:
            jobs = []
            for job in case.jobs_of(batch):
                product = campaign.products[job.product]
                items = sorted(case.items_in(job.product, job.colourway).items())
                needs: list[tuple[Good, int]] = [(item, n * job.units) for item, n in items]
                needs += [(piece, n * job.units) for piece, n in sorted(product.pieces.items())]
                jobs.append(Job(needs, whole_up(60 * assembly_minutes(case, job, inspecting)[0])))
            self.batches[batch.id] = self._batch(batch, jobs)
        self.assembly = case.shifts_of(campaign.assembly, campaign.assembly.people)
        self.packing = case.shifts_of(campaign.packing, campaign.packing.people)
        self.pick_ups: list[tuple[int, date]] = []
        day, last = case.clock.day(case.start), case.last_day
        while day <= last:
            if is_pick_up_day(case, campaign.pick_ups, day):
                at = pick_up_on(case, campaign.pick_ups, day)
                if at >= case.start:
                    self.pick_ups.append((at, day))
            day += timedelta(days=1)
        self._moments = [at for at, _ in self.pick_ups]

    def _batch(self, batch: PackBatch, jobs: list[Job]) -> Batch:
        case = self.case
        tier = case.campaign.tiers[batch.tier]
        opens = max((case.campaign.orders[line.line].opens or date.min for line in batch.lines), default=date.min)
        here, whole = (1, 1)
        if batch.parts > 1 and batch.lines:
            here, whole = units_share(case, batch.lines[0].line, batch.contents)
        late = batch.parcels * exact(tier.late_cost_per_day) * Fraction(here, whole)
        return Batch(
            jobs,
            [(piece, n * batch.parcels) for piece, n in batch.pieces.items()],
            whole_up(batch.parcels * exact(tier.pack_minutes) * 60),
            batch.parcels,
            case.start if opens == date.min else max(case.start, case.clock.at(opens)),
            hand_over_by(case, batch),
            float(late),
        )

    def lateness(
        self, order: list[str], worked: Worked, lots_of: Iterable[Lot], things: Things, planned: dict[str, int] | None
    ) -> tuple[float, dict[str, int]]:
        """Money for lateness, and when everything of each batch is there. planned: the same as planned; None: this is
        the plan itself."""
        there = _Goods(self.case, worked, list(lots_of), things)
        met = self._handed_out(order, there, things)
        complete = {name: max([*jobs, own]) for name, (jobs, own) in met.items()}
        if planned is not None:
            turn = _by_completion(order, complete, planned)
            if turn != order:
                met = self._handed_out(turn, there, things)
        packed = self._worked_off(order, met, things)
        return self._picked_up(packed, things), complete

    def _handed_out(self, order: list[str], there: "_Goods", things: Things) -> dict[str, tuple[list[int], int]]:
        """Batch -> when each of its jobs, and its packing, has all it takes."""
        taken: Counter[Good] = Counter()
        found: dict[str, tuple[list[int], int]] = {}
        for name in order:
            batch = self.batches[name]
            waits = self.case.start
            if things.common is not None and name not in things.common:
                waits = things.known
            jobs = []
            for job in batch.jobs:
                at = waits
                for good, number in job.needs:
                    taken[good] += number
                    at = max(at, there.met(good, taken[good]))
                jobs.append(at)
            own = max(waits, batch.opens)
            for good, number in batch.needs:
                taken[good] += number
                own = max(own, there.met(good, taken[good]))
            found[name] = jobs, own
        return found

    def _worked_off(
        self, order: list[str], met: dict[str, tuple[list[int], int]], things: Things
    ) -> list[tuple[int, str]]:
        """(end, batch) in order of packing."""
        waiting: list[tuple[int, int, int]] = []  # ready, rank, person-seconds
        owner: list[str] = []
        for name in order:
            for ready, job in zip(met[name][0], self.batches[name].jobs, strict=True):
                waiting.append((ready, len(owner), ceil(job.work * things.share.get("assembly", 1.0))))
                owner.append(name)
        done = {name: own for name, (_, own) in met.items()}
        for end, rank in _bench(self.assembly, waiting):
            done[owner[rank]] = max(done[owner[rank]], end)
        share = things.share.get("packing", 1.0)
        to_pack = [(done[name], rank, ceil(self.batches[name].work * share)) for rank, name in enumerate(order)]
        return [(end, order[rank]) for end, rank in _bench(self.packing, to_pack)]

    def _picked_up(self, packed: list[tuple[int, str]], things: Things) -> float:
        loaded: Counter[int] = Counter()
        most, money = self.case.campaign.pick_ups.parcels, 0.0
        for end, name in packed:
            batch = self.batches[name]
            k = bisect_left(self._moments, end)
            while k < len(self._moments) and loaded[k] + batch.parcels > most:
                k += 1
            if k >= len(self._moments):
                raise CannotTell
            loaded[k] += batch.parcels
            if batch.due is not None:
                leaves = self.pick_ups[k][1] + timedelta(days=things.late_days)
                money += max(0, (leaves - batch.due).days) * batch.late
        return money


def _by_completion(order: list[str], complete: dict[str, int], planned: dict[str, int]) -> list[str]:
    """Batches complete later than planned behind those complete sooner; the others keep their order."""
    latest, keys = 0, {}
    for name in order:
        late = complete[name] > planned[name]
        latest = latest if late else max(latest, complete[name])
        keys[name] = complete[name] if late else latest
    return sorted(order, key=lambda name: keys[name])


def _bench(shifts: list[Shift], waiting: list[tuple[int, int, int]]) -> list[tuple[int, int]]:
    """(end, rank) as they are taken: of what is ready, the least rank. waiting: ready, rank, person-seconds."""
    by_ready = sorted(waiting)
    ready: list[tuple[int, int]] = []
    found: list[tuple[int, int]] = []
    now, following, k = 0, 0, 0
    while len(found) < len(by_ready):
        if not ready:
            now = max(now, by_ready[following][0])
        while k < len(shifts) and shifts[k].end <= now:
            k += 1
        if now >= NEVER:
            raise CannotBeDone
        if k >= len(shifts):
            raise CannotTell
        now = max(now, shifts[k].start)
        while following < len(by_ready) and by_ready[following][0] <= now:
            heapq.heappush(ready, by_ready[following][1:])
            following += 1
        rank, left = heapq.heappop(ready)
        while left > 0:
            shift = shifts[k]
            begin = max(now, shift.start)
            here = (shift.end - begin) * shift.people
            if here >= left:
                now, left = begin - (-left // shift.people), 0
            else:
                left -= max(0, here)
                k += 1
                if k >= len(shifts):
                    raise CannotTell
        found.append((now, rank))
    return found


class _Goods:
    """When so many of each good are there in a scenario."""

    def __init__(self, case: Case, worked: Worked, lots_: list[Lot], things: Things) -> None:
        self.case, self.worked, self.things = case, worked, things
        self._made: dict[Item, list[Lot]] = defaultdict(list)
        for lot in sorted(lots_, key=lambda one: (worked.made[one.number].begin, one.number)):
            for item in case.items_of(lot.work):
                self._made[item].append(lot)
        self._upto = {
            item: list(accumulate((lot.shots for lot in made), initial=0)) for item, made in self._made.items()
        }
        self._steps: dict[str, list[tuple[int, int]]] = {}
        self._known: dict[tuple[Good, int], int] = {}
        self._bought = {line.id: line.bought for line in case.plan.pieces}

    def met(self, good: Good, number: int) -> int:
        """When so many have come in all."""
        key = good, number
        if key not in self._known:
            self._known[key] = self._piece(good, number) if isinstance(good, str) else self._item(good, number)
        return self._known[key]

    def _piece(self, name: str, number: int) -> int:
        if name not in self._steps:
            self._steps[name] = self._steps_of(name)
        return min((at for at, have in self._steps[name] if have >= number), default=NEVER)

    def _steps_of(self, name: str) -> list[tuple[int, int]]:
        case, piece = self.case, self.case.campaign.pieces[name]
        start, late = case.start, self.things.piece_late.get(name, 0)
        have, latest = piece.stock, start
        found = [(start, have)]
        for at, amount in sorted(agreed(case, piece), key=lambda one: one[0]):
            have, latest = have + amount, max(start, at)
            found.append((max(start, latest + late), have))
        come = part_deliveries(piece, self._bought.get(name, 0))
        for n, (days, amount) in enumerate(come, start=1):
            have += amount
            at = max(latest, case.clock.at(case.campaign.start + timedelta(days=days)))
            found.append((max(start, at + late), have if n < len(come) else NEVER))
        return found

    def _item(self, item: Item, number: int) -> int:
        case, need = self.case, self.case.needs[item]
        beyond = number - need.stock
        if beyond <= 0:
            return case.start
        if beyond > need.to_mould or item not in self._made:
            return NEVER
        shot = -(-beyond * self.things.counting[item] // need.to_mould)
        upto = self._upto[item]
        if shot > upto[-1]:
            return NEVER
        n = bisect_left(upto, shot) - 1
        lot = self._made[item][n]
        return self.worked.made[lot.number].at(shot - upto[n]) + case.rest_seconds[item[0]]
