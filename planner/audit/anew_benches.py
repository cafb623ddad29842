"""When batches of a scenario are worked on, assembled and packed (A13): sections B and F, walked through anew.

Parts and pieces are handed out in the order of service, those that are complete later than planned after those complete
sooner; of what is complete, the planned order is kept (S4.2). Moments are UTC seconds.
"""

import heapq
from collections import Counter
from datetime import date
from math import ceil
from typing import NamedTuple

from planner.audit.a08_finishing import minutes as finishing_minutes
from planner.audit.a09_people import assembly_minutes
from planner.audit.anew_goods import NEVER, Coming, Good, Goods
from planner.audit.anew_leaving import Leaving, Left
from planner.audit.anew_made import CannotBeDone, Worked
from planner.audit.anew_purges import CannotTell
from planner.audit.case import Case, pieces_at
from planner.audit.figures import exact, whole_up
from planner.audit.finishing import item_taken_by, piece_taken_by, worked_on
from planner.audit.opening import Shift
from planner.audit.places import route, way
from planner.audit.sampling import bench_minutes
from planner.plan.document import Assembly, PackBatch


class Before(NamedTuple):
    """What a bench between press and assembly does for a job: person-seconds, and how long its parts rest then."""

    work: int
    rest: int


class Job(NamedTuple):
    """Units to assemble. needs: good -> number, and the bench that takes it first (None: assembly); work:
    person-seconds; before: by bench."""

    needs: list[tuple[Good, int, str | None]]
    work: int
    before: dict[str, Before]


class Batch(NamedTuple):
    """Parcels to pack. needs: pieces; opens: not packed before."""

    jobs: list[Job]
    needs: list[tuple[Good, int]]
    work: int
    opens: int


class Things(NamedTuple):
    """What benches take in a scenario. share: of the benches' time; late_days: of the carrier; known: from when batches
    that are not common may be worked on."""

    coming: Coming
    share: dict[str, float]
    late_days: int
    common: frozenset[str] | None
    known: int


class Met(NamedTuple):
    """When all that a batch takes is there. jobs: for each, by the bench that takes it first (None: assembly); own:
    what packing takes."""

    jobs: list[dict[str | None, int]]
    own: int

    @property
    def complete(self) -> int:
        return max(self.own, *(at for job in self.jobs for at in job.values()), 0)


class Benches:
    """The benches and the carriers of one case."""

    def __init__(self, case: Case) -> None:
        self.case, campaign = case, case.campaign
        inspecting = bench_minutes(case)
        self.batches: dict[str, Batch] = {}
        for batch in case.plan.batches:
            # handed out, and served, in this order, whenever they are assembled
            ours = sorted(case.jobs_of(batch), key=lambda job: (job.product, job.colourway))
            jobs = [self._job(job, whole_up(60 * assembly_minutes(case, job, inspecting)[0])) for job in ours]
            self.batches[batch.id] = self._batch(batch, jobs)
        self.leaving = Leaving(case)
        every = [job for one in self.batches.values() for job in one.jobs]
        self.assembly = self._open(
            case.shifts_of(campaign.assembly, campaign.assembly.people), any(j.work for j in every)
        )
        worked = any(one.work for one in self.batches.values())
        self.packing = self._open(case.shifts_of(campaign.packing, campaign.packing.people), worked)
        self.before = {
            name: self._open(
                case.shifts_of(bench, bench.people), any(job.before[name].work for job in every if name in job.before)
            )
            for name, bench in campaign.finishing_benches.items()
        }
        self._into_moulds: Counter[Good] = Counter()
        for work in case.works:
            self._into_moulds.update(pieces_at(campaign, work))
        for item, need in case.needs.items():
            self._into_moulds[item] += need.taken

    def _open(self, shifts: list[Shift], work: bool) -> list[Shift]:
        """A bench that never opens, with nothing to do, keeps nobody waiting (B4)."""
        if work or any(shift.people for shift in shifts):
            return shifts
        return [Shift(self.case.start, NEVER, 1)]

    def _job(self, job: Assembly, work: int) -> Job:
        case = self.case
        mine = worked_on(case, job)
        product = case.campaign.products[job.product]
        items = sorted(case.items_in(job.product, job.colourway).items())
        needs: list[tuple[Good, int, str | None]] = [
            (item, n * job.units, item_taken_by(case, job, item)) for item, n in items
        ]
        needs += [
            (piece, n * job.units, piece_taken_by(case, job, piece)) for piece, n in sorted(product.pieces.items())
        ]
        before = {
            name: Before(
                whole_up(finishing_minutes(case, one) * 60), case.clock.second(one.rested) - case.clock.second(one.end)
            )
            for name, one in mine.items()
        }
        return Job(needs, work, before)

    def _batch(self, batch: PackBatch, jobs: list[Job]) -> Batch:
        case = self.case
        tier = case.campaign.tiers[batch.tier]
        opens = max((case.campaign.orders[line.line].opens or date.min for line in batch.lines), default=date.min)
        return Batch(
            jobs,
            [(piece, n * batch.parcels) for piece, n in batch.pieces.items()],
            whole_up(batch.parcels * exact(tier.pack_minutes) * 60),
            case.start if opens == date.min else max(case.start, case.clock.at(opens)),
        )

    def left(
        self, order: list[str], worked: Worked, things: Things, planned: dict[str, int] | None
    ) -> tuple[Left, dict[str, int]]:
        """What leaving costs, and when everything of each batch is there. planned: the same as planned; None: this is
        the plan itself, or a world in which batches are served as planned."""
        there = Goods(self.case, worked.parts, things.coming)
        met = self._handed_out(order, there, things)
        complete = {name: one.complete for name, one in met.items()}
        if planned is not None:
            turn = _by_completion(order, complete, planned)
            if turn != order:
                met = self._handed_out(turn, there, things)
        return self.leaving.gone(self._worked_off(order, met, things), things.late_days), complete

    def _handed_out(self, order: list[str], there: Goods, things: Things) -> dict[str, Met]:
        """What is there when of each batch; what goes into moulds has been taken before."""
        taken = Counter(self._into_moulds)
        found: dict[str, Met] = {}
        for name in order:
            batch = self.batches[name]
            waits = self.case.start
            if things.common is not None and name not in things.common:
                waits = things.known
            jobs = []
            for job in batch.jobs:
                first = next((bench for bench in self.before if bench in job.before), None)
                at: dict[str | None, int] = {first: waits}
                for good, number, bench in job.needs:
                    taken[good] += number
                    at[bench] = max(at.get(bench, 0), there.met(good, taken[good]))
                jobs.append(at)
            own = max(waits, batch.opens)
            for good, number in batch.needs:
                taken[good] += number
                own = max(own, there.met(good, taken[good]))
            found[name] = Met(jobs, own)
        return found

    def _worked_off(self, order: list[str], met: dict[str, Met], things: Things) -> list[tuple[int, str]]:
        """(end, batch) in order of packing."""
        campaign = self.case.campaign
        jobs = [
            (name, job, at) for name in order for job, at in zip(self.batches[name].jobs, met[name].jobs, strict=True)
        ]
        rested = [0] * len(jobs)
        where: list[str | None] = [None] * len(jobs)  # the bench that each was on last
        places = {name: bench.place for name, bench in campaign.finishing_benches.items()}

        def come(rank: int, place: str | None) -> int:
            """When what was done to a job's parts is at that place."""
            last = where[rank]
            return rested[rank] if last is None else self._carried(places[last], place, rested[rank])

        for bench, shifts in self.before.items():
            waiting = [
                (max(come(rank, places[bench]), at.get(bench, 0)), rank, job.before[bench].work)
                for rank, (_, job, at) in enumerate(jobs)
                if bench in job.before
            ]
            for end, rank in _bench(shifts, waiting):
                rested[rank] = max(rested[rank], end + jobs[rank][1].before[bench].rest)
                where[rank] = bench
        share = things.share.get("assembly", 1.0)
        waiting = [
            (max(come(rank, campaign.assembly.place), *at.values()), rank, ceil(job.work * share))
            for rank, (_, job, at) in enumerate(jobs)
        ]
        assembled: dict[str, int] = {}
        for end, rank in _bench(self.assembly, waiting):
            assembled[jobs[rank][0]] = max(assembled.get(jobs[rank][0], 0), end)
        done = {name: one.own for name, one in met.items()}
        for name, end in assembled.items():
            done[name] = max(done[name], self._carried(campaign.assembly.place, campaign.packing.place, end))
        share = things.share.get("packing", 1.0)
        to_pack = [(done[name], rank, ceil(self.batches[name].work * share)) for rank, name in enumerate(order)]
        return [(end, order[rank]) for end, rank in _bench(self.packing, to_pack)]

    def _carried(self, begin: str | None, end: str | None, moment: int) -> int:
        """When what may leave a place at a moment is at another (F10)."""
        for place, out in route(begin, end):
            moment = self._comes(place, out, moment)
        return moment

    def _comes(self, place: str, out: bool, moment: int) -> int:
        case = self.case
        came = case.once(("carried", place, out, moment), lambda: way(case.campaign, place, out, case.start, moment))
        if came is None:
            raise CannotTell
        return came[1]


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
