"""The chain behind a pack batch's dispatch: back from the pick-up, always to what ended last, to the campaign's start.

Links leave no gap: each ends when the one found before it begins.
"""

from typing import NamedTuple

import numpy as np

from planner.plan.binding import LinkKind
from planner.plan.shots_done import NO_LOT, ShotsDone, back_from
from planner.schedule import timing as w
from planner.schedule.instance import Instance, Ints
from planner.schedule.lot_begins import lot_begin
from planner.schedule.timing import Timing
from planner.why.starts import Cause


class Stretch(NamedTuple):
    """number: of the lot, batch, job, good, press, tool, material or pick-up that the kind speaks of.

    carried: a batch, or a row of the benches before assembly, whose number is negative: -1 - row.
    back_to: of a bench that was busy without a break, closed hours apart, the step it began with; -1: no bench.
    """

    kind: LinkKind
    number: int
    since: int
    until: int
    back_to: int = -1


class Chains:
    """What is needed to follow any batch back."""

    def __init__(self, inst: Instance, timing: Timing, causes: list[list[Cause]]) -> None:
        self.inst, self.timing, self.causes = inst, timing, causes
        self.shots = ShotsDone(inst, timing)
        number = timing.jobs.shape[0]
        before = [timing.finished[bench * number : (bench + 1) * number] for bench in range(inst.finishing)]
        self.benches = [timing.jobs, timing.batches, *before]
        self.worked = [_in_order(rows) for rows in self.benches]

    def of(self, batch: int) -> list[Stretch]:
        """Latest first."""
        inst, row = self.inst, self.timing.batches[batch]
        packed, pickup = int(row[w.ENDED]), int(row[w.PICKUP])
        ready = max(packed, self._waves_before(batch))
        first = int(np.searchsorted(inst.pickup_t, ready))
        while inst.leaving and inst.pickup_carrier[first] != inst.batch_carrier[batch]:
            first += 1
        found = []
        if first < pickup:
            found.append(Stretch("pick-up full", batch, int(inst.pickup_t[first]), int(inst.pickup_t[pickup])))
        found.append(Stretch("pick-up", pickup if first == pickup else first, ready, int(inst.pickup_t[first])))
        found.append(Stretch("wave before", batch, packed, ready))
        self._packing(batch, found)
        return [link for link in found if link.until > link.since]

    def _waves_before(self, batch: int) -> int:
        """When the last of the waves before a batch's left; 0 where it waits for none."""
        waves = self.inst.batch_wave
        if not self.inst.leaving or waves[batch] <= 0:
            return 0
        before = (waves >= 0) & (waves < waves[batch])
        return int(self.inst.pickup_t[self.timing.batches[before, w.PICKUP]].max(initial=0))

    def _packing(self, batch: int, found: list[Stretch]) -> None:
        rows = self.timing.batches
        batch = self._bench(1, batch, found)
        inst, ready = self.inst, int(rows[batch, w.READY])
        ended = self.timing.jobs[int(inst.job_ptr[batch]) : int(inst.job_ptr[batch + 1]), w.ENDED]
        assembled = int(ended.max(initial=-1))
        if assembled >= 0 and self._carried(inst.finishing, inst.finishing + 1, assembled) == ready:
            found.append(Stretch("carried", batch, assembled, ready))
            ready = assembled
        for job in range(int(inst.job_ptr[batch]), int(inst.job_ptr[batch + 1])):
            if self.timing.jobs[job, w.ENDED] == ready:
                self._assembly(job, found)
                return
        own = range(int(inst.batch_need_ptr[batch]), int(inst.batch_need_ptr[batch + 1]))
        self._needs([(int(inst.batch_good[i]), inst.job_good.size + i) for i in own], ready, found)

    def _assembly(self, job: int, found: list[Stretch]) -> None:
        rows, inst = self.timing.jobs, self.inst
        job = self._bench(0, job, found)
        ready = int(rows[job, w.READY])
        if not self._finishing(job, inst.finishing, ready, found):
            needs = range(int(inst.job_need_ptr[job]), int(inst.job_need_ptr[job + 1]))
            self._needs([(int(inst.job_good[i]), i) for i in needs], ready, found)

    def _finishing(self, job: int, before: int, ready: int, found: list[Stretch]) -> bool:
        """Go on with a bench before assembly, of those before one, if a job's parts were there last from it."""
        inst, number = self.inst, self.inst.job_work.size
        passed = [bench for bench in range(before) if inst.finish_work[bench, job] >= 0]
        if passed and inst.carrying and inst.carry_way[passed[-1], before] >= 0:
            bench = passed[-1]
            row = bench * number + job
            rested = int(self.timing.finished[row, w.ENDED]) + int(inst.finish_rest[bench, job])
            if ready <= 0 or self._carried(bench, before, rested) != ready:
                return False
            found.append(Stretch("carried", -1 - row, rested, ready))
            ready = rested
        for bench in passed:
            rows = self.timing.finished[bench * number : (bench + 1) * number]
            ended = int(rows[job, w.ENDED])
            if ready <= 0 or ended + int(inst.finish_rest[bench, job]) != ready:
                continue
            found.append(Stretch("drying", bench, ended, ready))
            first = self._bench(2 + bench, job, found)
            there = int(rows[first, w.READY])
            if not self._finishing(first, bench, there, found):
                needs = range(int(inst.job_need_ptr[first]), int(inst.job_need_ptr[first + 1]))
                own = [(int(inst.job_good[i]), i) for i in needs if inst.need_first[i] == bench]
                self._needs(own, there, found)
            return True
        return False

    def _carried(self, after: int, to: int, moment: int) -> int:
        """When what a bench is done with at a moment is at another."""
        inst = self.inst
        way = int(inst.carry_way[after, to]) if inst.carrying else -1
        return moment if way < 0 else back_from(inst, way, moment)

    def _bench(self, bench: int, latest: int, found: list[Stretch]) -> int:
        """Back through what the bench was busy with, to a step it was free for; that step."""
        rows = self.benches[bench]
        steps, ends = self.worked[bench]
        step = latest
        while True:
            started, ready = int(rows[step, w.STARTED]), int(rows[step, w.READY])
            place = int(np.searchsorted(ends, started, side="right")) - 1
            if place < 0 or ends[place] <= ready:
                break
            step = int(steps[place])
        ended = int(rows[latest, w.ENDED])
        if bench < 2:
            found.append(Stretch(("assembly", "packing")[bench], latest, started, ended, step))
            found.append(Stretch(("assembly closed", "packing closed")[bench], -1, ready, started))
        else:
            row = (bench - 2) * rows.shape[0]
            found.append(Stretch("finishing", row + latest, started, ended, row + step))
            found.append(Stretch("finishing closed", bench - 2, ready, started))
        return step

    def _needs(self, needs: list[tuple[int, int]], ready: int, found: list[Stretch]) -> None:
        """Go on with the good that was there last."""
        inst = self.inst
        if ready <= 0:
            return
        for good, need in needs:
            run, asked = int(inst.good_run[good]), int(self.timing.needs[need])
            if run < 0:
                if asked == ready:
                    travels = inst.sent_out and inst.trip_ptr[good] < inst.trip_ptr[good + 1]
                    found.append(Stretch("lot away" if travels else "piece", good, 0, ready))
                    return
                continue
            if asked < 0 and -asked == ready:
                found.append(Stretch("lot away", good, 0, ready))
                return
            if asked <= 0:
                continue
            shared = inst.several and inst.first_source[good] < inst.last_source[good]
            if shared:
                lot, done, there = self.shots.there(good, asked)
            else:
                lot, done = self.shots.of(run, asked)
                there = back_from(inst, good, done + int(inst.good_rest_s[good]))
            rested = done + int(inst.good_rest_s[good])
            if there == ready and lot == NO_LOT:
                found.append(Stretch("lot away", good, 0, ready))
                return
            if there == ready:
                found.append(Stretch("lot away", good, rested, ready))
                found.append(Stretch("rest", good, done, rested))
                self._run(lot, done, "run", found)
                return
        raise AssertionError("nothing was there last")

    def _run(self, lot: int, until: int, kind: LinkKind, found: list[Stretch]) -> None:
        """From a lot back through whatever held it up, until something no lot stands behind, or the start."""
        while True:
            begin = lot_begin(self.timing, lot)
            found.append(Stretch(kind, lot, begin, until))
            cause = self._held_up(lot)
            held_until = cause.until if cause else 0
            if held_until < begin:
                found.append(Stretch("press closed", int(self.timing.lots[lot, w.PRESS]), held_until, begin))
            if cause is None or held_until <= 0:
                return
            if cause.kind == "ready":
                found.append(Stretch("tool ready", cause.of, 0, held_until))
                return
            if cause.kind == "material":
                found.append(Stretch("material", cause.of, 0, held_until))
                return
            if cause.kind in ("wish", "over"):
                found.append(Stretch("wish" if cause.kind == "wish" else "moulded over", cause.of, 0, held_until))
                return
            if cause.kind == "dryer":
                ended = min(int(self.timing.lots[cause.of, w.END]), held_until)
                if ended < held_until:
                    found.append(Stretch("dryer", lot, ended, held_until))
                lot, until, kind = cause.of, ended, "run"
                continue
            lot, until, kind = cause.of, held_until, "changeover" if cause.kind == "setter" else "run"

    def _held_up(self, lot: int) -> Cause | None:
        """What held a lot up longest; of equals, what the schedule names."""
        named = w.WAITED_FOR[int(self.timing.lots[lot, w.WHY])]
        return max(
            self.causes[lot],
            key=lambda c: (c.until, ("wish" if c.kind == "over" else c.kind) == named),
            default=None,
        )


def _in_order(rows: Ints) -> tuple[Ints, Ints]:
    """(steps that take time, their ends) in order of work."""
    steps = np.flatnonzero(rows[:, w.ENDED] > rows[:, w.STARTED])
    steps = steps[np.argsort(rows[steps, w.ENDED], kind="stable")]
    return steps, rows[steps, w.ENDED]
