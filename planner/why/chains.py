"""The chain behind a pack batch's dispatch: back from the pick-up, always to what ended last, to the campaign's start.

Links leave no gap: each ends when the one found before it begins.
"""

from typing import NamedTuple

import numpy as np

from planner.plan.binding import LinkKind
from planner.schedule import timing as w
from planner.schedule.instance import Instance, Ints
from planner.schedule.timing import Timing
from planner.why.loads import begins
from planner.why.starts import Cause


class Stretch(NamedTuple):
    """number: of the lot, batch, job, good, press, tool, material or pick-up that the kind speaks of.

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
        self.lots_of: list[list[int]] = [[] for _ in range(inst.run_tool.size)]
        for lot in timing.lots[:, w.ORDER].tolist():
            self.lots_of[int(inst.lot_run[lot])].append(lot)
        self.worked = [_in_order(timing.jobs), _in_order(timing.batches)]

    def of(self, batch: int) -> list[Stretch]:
        """Latest first."""
        inst, row = self.inst, self.timing.batches[batch]
        packed, pickup = int(row[w.ENDED]), int(row[w.PICKUP])
        first = int(np.searchsorted(inst.pickup_t, packed))
        found = []
        if first < pickup:
            found.append(Stretch("pick-up full", batch, int(inst.pickup_t[first]), int(inst.pickup_t[pickup])))
        found.append(Stretch("pick-up", pickup if first == pickup else first, packed, int(inst.pickup_t[first])))
        self._packing(batch, found)
        return [link for link in found if link.until > link.since]

    def _packing(self, batch: int, found: list[Stretch]) -> None:
        rows = self.timing.batches
        batch = self._bench(1, batch, found)
        inst, ready = self.inst, int(rows[batch, w.READY])
        for job in range(int(inst.job_ptr[batch]), int(inst.job_ptr[batch + 1])):
            if self.timing.jobs[job, w.ENDED] == ready:
                self._assembly(job, found)
                return
        own = range(int(inst.batch_need_ptr[batch]), int(inst.batch_need_ptr[batch + 1]))
        self._needs([(int(inst.batch_good[i]), inst.job_good.size + i) for i in own], ready, found)

    def _assembly(self, job: int, found: list[Stretch]) -> None:
        rows, inst = self.timing.jobs, self.inst
        job = self._bench(0, job, found)
        needs = range(int(inst.job_need_ptr[job]), int(inst.job_need_ptr[job + 1]))
        self._needs([(int(inst.job_good[i]), i) for i in needs], int(rows[job, w.READY]), found)

    def _bench(self, bench: int, latest: int, found: list[Stretch]) -> int:
        """Back through what the bench was busy with, to a step it was free for; that step."""
        rows = (self.timing.jobs, self.timing.batches)[bench]
        steps, ends = self.worked[bench]
        step = latest
        while True:
            started, ready = int(rows[step, w.STARTED]), int(rows[step, w.READY])
            place = int(np.searchsorted(ends, started, side="right")) - 1
            if place < 0 or ends[place] <= ready:
                break
            step = int(steps[place])
        found.append(Stretch(("assembly", "packing")[bench], latest, started, int(rows[latest, w.ENDED]), step))
        found.append(Stretch(("assembly closed", "packing closed")[bench], -1, ready, started))
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
                    found.append(Stretch("piece", good, 0, ready))
                    return
                continue
            rested = ready - int(inst.good_rest_s[good])
            if asked > 0 and (made := self._shot(run, asked))[1] == rested:
                found.append(Stretch("rest", good, rested, ready))
                self._run(made[0], rested, "run", found)
                return
        raise AssertionError("nothing was there last")

    def _shot(self, run: int, asked: int) -> tuple[int, int]:
        """The lot that makes the asked shot of its demand, and when it is done."""
        inst, timing = self.inst, self.timing
        for lot in self.lots_of[run]:
            if asked <= inst.lot_shots[lot]:
                press = timing.lots[lot, w.PRESS]
                work = -(-asked * int(inst.shot_num[press, run]) // int(inst.shot_den[press, run]))
                first = int(timing.lots[lot, w.FIRST_PIECE])
                for piece in timing.pieces[first : first + int(timing.lots[lot, w.PIECES])]:
                    if work <= piece[w.WORK]:
                        return lot, int(piece[w.BEGAN]) + work
                    work -= int(piece[w.WORK])
            asked -= int(inst.lot_shots[lot])
        raise AssertionError("more shots are asked for than are made")

    def _run(self, lot: int, until: int, kind: LinkKind, found: list[Stretch]) -> None:
        """From a lot back through whatever held it up, until something no lot stands behind, or the start."""
        while True:
            begin = begins(self.timing, lot)
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
        return max(self.causes[lot], key=lambda c: (c.until, c.kind == named), default=None)


def _in_order(rows: Ints) -> tuple[Ints, Ints]:
    """(steps that take time, their ends) in order of work."""
    steps = np.flatnonzero(rows[:, w.ENDED] > rows[:, w.STARTED])
    steps = steps[np.argsort(rows[steps, w.ENDED], kind="stable")]
    return steps, rows[steps, w.ENDED]
