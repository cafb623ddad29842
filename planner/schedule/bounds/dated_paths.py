"""What presses, tools, benches and pick-ups have hours for by each date, in whole numbers, by CP-SAT.

Why: the programme by dates (`pickup_lp`) lets a tenth of a run be entered by a tenth of a path and pays a tenth of a
warm-up. Here each press has one whole path over the run demands made on it, whole stretches with their warm-ups, and
batches leave whole. On XS, S the optimum is there in 0.1 to 0.5 s, 20 to 110 above the programme's. Lots may be cut as
anybody likes: shots are shared out among presses, and nothing is said of how often a demand is entered but that it is.

Why no plan costs less. Take any plan and one press. What it makes there, demand by demand and by each date, its
stretches and the batches that left keep all the rows; what is sent by a date was begun on the benches in time, with
its parts made and rested (`latest_begin`), and what is made of runs whose tool or material comes late was made since.
Its changeovers are a walk from the press's start through all demands made there. The path enters each of them once,
along the shortest ways between two, so the walk costs at least as much: in seconds, and in money, each beyond the
least start-up of the press, which is counted apart. A stretch begins cold: with a changeover, of which a setter stands
by during the warm-up, or with a restart, which has start-up shots of its own. There are no fewer changeovers in the
walk than in the path, and each has start-up shots.

A demand in several places. Where the walk comes back to a demand, or its tool was elsewhere meanwhile, the walk without
that entry is still one through all; so the plan costs at least the path and what the entry takes beyond the way past
it (`_detours`). `split`: the least of plans in which at least one demand that may be cut is entered twice.
"""

from bisect import bisect_right
from itertools import pairwise
from math import floor

import numpy as np
from ortools.sat.python import cp_model

from planner.schedule.bounds.by_dates import dates, lateness, pieces_there, shared, tool_seconds
from planner.schedule.bounds.changeovers import Changeovers
from planner.schedule.bounds.earliest import Earliest, material_there
from planner.schedule.bounds.finish import open_seconds
from planner.schedule.bounds.latest_begin import last_begins
from planner.schedule.bounds.work import usable_seconds
from planner.schedule.instance import Floats, Instance, Ints
from planner.schedule.lot_sizes import may_be_cut, smallest_lots

SCALE = 100_000
"""Parts of a money unit told apart."""
MS = 1_000

MOST_ARCS = 3_000
"""Of all presses together: up to some 30 run demands on three presses. With more the linear programme by dates is what
there is, which a plan's bound then names as what it rests on."""

MOST_AGAIN = 3
"""Entries of a demand on a press beyond the first that are counted; what more of them cost is not."""


def small_enough(inst: Instance) -> bool:
    """Whether the model stays within MOST_ARCS."""
    return int((inst.fits.sum(axis=1) ** 2).sum()) <= MOST_ARCS


class DatedPaths:
    """The model of one instance. split: only plans in which some demand that may be cut is entered twice."""

    def __init__(self, inst: Instance, least: Changeovers, earliest: Earliest, split: bool = False) -> None:
        self.inst, self.least, self.earliest, self.split = inst, least, earliest, split
        self.dates = dates(inst, earliest)
        self.model = cp_model.CpModel()
        self.cost: list[cp_model.LinearExprT] = []
        self.constant = 0
        runs = inst.run_tool.size
        lots = np.bincount(inst.lot_run, minlength=runs)
        self.free = np.isin(np.arange(runs), may_be_cut(inst)) | (lots > 1)
        self.since = [max(int(inst.tool_ready[inst.run_tool[r]]), material_there(inst, r)) for r in range(runs)]
        self.latest = last_begins(inst, self.dates)
        self.moments = [self._moments(r) for r in range(runs)]
        self.smallest = np.minimum(smallest_lots(inst), inst.run_shots)
        self.a_second = inst.press_cost_s[:, None] + inst.tending
        self.on: dict[tuple[int, int], cp_model.IntVar] = {}
        self.made: dict[tuple[int, int], list[cp_model.IntVar]] = {}
        self.again: dict[tuple[int, int], cp_model.IntVar] = {}
        self.begun: dict[tuple[int, int], list[cp_model.IntVar]] = {}
        self.arcs: dict[int, list[cp_model.ArcT]] = {}
        self.fitting = [np.flatnonzero(inst.fits[p]).tolist() for p in range(inst.restart_s.size)]
        for p, here in enumerate(self.fitting):
            for r in here:
                self._made(p, r)
        for r in range(runs):
            mine = [p for p in range(len(self.fitting)) if (p, r) in self.on]
            self.model.add(cp_model.LinearExpr.sum([self.made[p, r][-1] for p in mine]) == int(inst.run_shots[r]))
            self.model.add_bool_or(self.on[p, r] for p in mine)
        for p, here in enumerate(self.fitting):
            if here:
                self._press(p, here)
        if split:
            self._entered_twice()
        self._tools()
        self._batches()

    def least_money(self, effort: float, solver: cp_model.CpSolver) -> float:
        """Money of press work and lateness, at the least, after so many deterministic seconds; sound whenever it stops,
        infinite where there is no such plan."""
        self.model.minimize(cp_model.LinearExpr.sum(self.cost) + self.constant)
        solver.parameters.num_workers = 1
        solver.parameters.max_deterministic_time = effort
        solver.parameters.linearization_level = 2
        if solver.solve(self.model) == cp_model.INFEASIBLE:
            return float("inf")
        return float(max(0.0, solver.best_objective_bound) / SCALE)

    def _moments(self, r: int) -> list[int]:
        """When parts of run r must be made to have rested at one of the moments looked at."""
        rests = set(self.inst.good_rest_s[self.inst.good_run == r].tolist())
        return sorted({moment - rest for moment in self.latest.moments.tolist() for rest in rests if moment > rest})

    def _made(self, p: int, r: int) -> None:
        """Shots of run r made on press p by each of its moments, and in the end."""
        inst, model, whole = self.inst, self.model, int(self.inst.run_shots[r])
        on = self.on[p, r] = model.new_bool_var("")
        shots: list[cp_model.IntVar] = []
        for moment in self.moments[r]:
            hours = open_seconds(inst, p, self.since[r], moment, 0)
            could = hours * int(inst.shot_den[p, r]) // max(1, int(inst.shot_num[p, r])) + 1
            shots.append(model.new_int_var(0, min(whole, could), ""))
        shots.append(model.new_int_var(0, whole, ""))
        for before, after in pairwise(shots):
            model.add(before <= after)
        if self.free[r]:
            model.add(shots[-1] <= whole * on)
            model.add(shots[-1] >= int(self.smallest[r]) * on)
        else:
            model.add(shots[-1] == whole * on)
        self.made[p, r] = shots
        self._pay(float(inst.shot_num[p, r] / inst.shot_den[p, r] * self.a_second[p, r]), shots[-1])

    def _made_by(self, p: int, r: int, moment: int) -> cp_model.LinearExprT:
        """Shots of run r made on press p by the last of its moments until then: as many are made by then."""
        n = bisect_right(self.moments[r], moment)
        return self.made[p, r][n - 1] if n else 0

    def _press(self, p: int, here: list[int]) -> None:
        """One path over the runs made on a press, its stretches, and its hours by each moment."""
        inst, model, least = self.inst, self.model, self.least
        start, n = inst.run_tool.size, len(here)
        money, between, again, again_s = self._ways(p, here)
        arcs: list[cp_model.ArcT] = []
        alike = least.may_follow()
        seconds: list[cp_model.LinearExprT] = []
        changes: list[cp_model.LinearExprT] = []
        changed_first: list[cp_model.IntVar] = []
        for j, r in enumerate(here):
            arcs += [(j, j, ~self.on[p, r]), (j, n, model.new_bool_var(""))]
            for i in range(n + 1):
                if i == j or np.isinf(money[i, j]):
                    continue
                arc = model.new_bool_var("")
                arcs.append((i, j, arc))
                seconds.append(floor(between[i, j] * MS) * arc)
                self._pay(float(money[i, j]), arc)
                if i < n:
                    if not alike[here[i], r]:
                        changes.append(arc)
                elif bool(least.needed[p, start, r]):
                    changes.append(arc)
                    changed_first.append(arc)
            if self.split and self.free[r]:
                once_more = self.again[p, r] = model.new_int_var(0, MOST_AGAIN, "")
                model.add(once_more <= MOST_AGAIN * self.on[p, r])
                self._pay(float(again[j]), once_more)
                seconds.append(floor(again_s[j] * MS) * once_more)
                if not alike[:, r].any():
                    changes.append(once_more)
        empty = model.new_bool_var("")
        self.arcs[p] = arcs
        model.add_circuit([*arcs, (n, n, empty)])
        for r in here:
            model.add_implication(empty, ~self.on[p, r])
        self._stretches(p, here, seconds, changes, changed_first)
        self._by_moments(p, here)

    def _by_moments(self, p: int, here: list[int]) -> None:
        """What is made on a press by each moment, each run entered the soonest way, fits into its hours until then; and
        what cannot begin before its tool or material is there into those since."""
        inst, model, start = self.inst, self.model, self.inst.run_tool.size
        begun = {r: [model.new_bool_var("") for _ in self.moments[r]] for r in here}
        self.begun |= {(p, r): row for r, row in begun.items()}
        entry: dict[int, int] = {}
        for r in here:
            others = [q for q in [*here, start] if q != r]
            needed = self.least.needed[p, others, r]
            entry[r] = int(np.where(needed, self.least.seconds[p, others, r], 0).min())
            for made, started in zip(self.made[p, r], begun[r], strict=False):
                model.add(made <= int(inst.run_shots[r]) * started)
        for since in sorted({self.since[r] for r in here}):
            late = [r for r in here if self.since[r] >= since]
            for moment in sorted({moment for r in late for moment in self.moments[r]}):
                work: list[cp_model.LinearExprT] = []
                for r in late:
                    if n := bisect_right(self.moments[r], moment):
                        work += [self._ms(p, r) * self.made[p, r][n - 1], entry[r] * MS * begun[r][n - 1]]
                model.add(cp_model.LinearExpr.sum(work) <= self._open(p, since, moment) * MS)

    def _open(self, p: int, since: int, until: int) -> int:
        """Seconds of a press between two moments, without warm-ups; others may have warmed it before the first."""
        inst, a, b = self.inst, int(self.inst.open_ptr[p]), int(self.inst.open_ptr[p + 1])
        warm = int(inst.restart_s[p])
        under_way = bool(((inst.open_start[a:b] < since) & (since < inst.open_end[a:b])).any())
        return open_seconds(inst, p, since, until, warm) + warm * under_way

    def _stretches(
        self,
        p: int,
        here: list[int],
        seconds: list[cp_model.LinearExprT],
        changes: list[cp_model.LinearExprT],
        changed_first: list[cp_model.IntVar],
    ) -> None:
        """Stretches begun, each with a changeover or a restart, and what all of them hold."""
        inst, model, total = self.inst, self.model, cp_model.LinearExpr.sum
        start_up, shots_s = self._start_up(p, here)
        most = int(inst.open_ptr[p + 1] - inst.open_ptr[p])
        stretches, restarts, cold = (model.new_int_var(0, most, "") for _ in range(3))
        first = total(changed_first)
        model.add(restarts + cold + first >= stretches)
        model.add(cold + first <= total(changes))
        starts = total(changes) + restarts
        work = [self._ms(p, r) * self.made[p, r][-1] for r in here]
        usable = int(usable_seconds(inst)[p])
        model.add(total(work) + total(seconds) + shots_s * MS * starts <= usable * MS * stretches)
        self._pay(float(inst.restart_s[p] * inst.press_cost_s[p]), stretches)
        self._pay(float(inst.restart_s[p] * inst.setter_cost_s[p]), cold)
        self._pay(start_up, restarts)
        for change in changes:
            self._pay(start_up, change)

    def _start_up(self, p: int, here: list[int]) -> tuple[float, int]:
        """The least money and seconds of start-up shots on a press."""
        return float(self.least.startup[p, here].min()), int(self.inst.startup_s[p, here].min())

    def _ways(self, p: int, here: list[int]) -> tuple[Floats, Floats, Floats, Floats]:
        """Of the n runs here behind each other and, last, at the start: the least money (n + 1, n) and seconds of the
        shortest way, both beyond start-up, and what entering each once more takes of both at the least (n)."""
        inst, least, start, n = self.inst, self.least, self.inst.run_tool.size, len(here)
        start_up, shots_s = self._start_up(p, here)
        some = np.ix_([*here, start], here)
        needed = least.needed[p][some]
        money = np.where(needed, np.maximum(0.0, least.money(inst, inst.press_cost_s)[p][some] - start_up), 0.0)
        seconds = np.where(needed, np.maximum(0.0, least.seconds[p][some] - shots_s), 0.0)
        apart = inst.clash[np.ix_(here, here)] | np.eye(n, dtype=np.bool_)
        money[:n][apart], seconds[:n][apart] = np.inf, np.inf
        mounted = inst.least_mount_s[inst.run_tool[here]]
        paid = mounted * float(inst.press_cost_s[p] + inst.setter_cost_s[p])
        shortest, soonest = _shortest(money), _shortest(seconds)
        again, again_s = _detours(money[:n], shortest[:n]), _detours(seconds[:n], soonest[:n])
        return shortest, soonest, np.minimum(paid, again), np.minimum(mounted, again_s)

    def _entered_twice(self) -> None:
        """Some demand that may be cut is in several places, or its run comes back to one."""
        model, twice = self.model, []
        for r in may_be_cut(self.inst).tolist():
            entries = [on for (_, run), on in self.on.items() if run == r]
            entries += [again for (_, run), again in self.again.items() if run == r]
            is_twice = model.new_bool_var("")
            model.add(cp_model.LinearExpr.sum(entries) >= 1 + is_twice)
            twice.append(is_twice)
        model.add_bool_or(twice)

    def _tools(self) -> None:
        """A tool is in one place at a time."""
        for tool in range(self.inst.mount_s.size):
            mine = [(p, r) for p, r in self.made if self.inst.run_tool[r] == tool]
            moments = sorted({moment for _, r in mine for moment in self.moments[r]})
            if not moments:
                continue
            hours = tool_seconds(self.inst, tool, sorted({p for p, _ in mine}), moments)
            for moment, most in zip(moments, hours, strict=True):
                work = [self._ms(p, r) * self._made_by(p, r, moment) for p, r in mine]
                self.model.add(cp_model.LinearExpr.sum(work) <= most * MS)

    def _batches(self) -> None:
        """Which batches are sent by each date, each whole: parts, pieces, work, room in the van."""
        inst, model, total = self.inst, self.model, cp_model.LinearExpr.sum
        sent: list[list[cp_model.IntVar]] = []
        for b in range(inst.batch_work.size):
            leaves = int(inst.pickup_t[self.earliest.pickup[b]])
            money = lateness(inst, self.earliest, self.dates, b)
            could = [leaves <= m and self.latest.packing[b, t] >= 0 for t, m in enumerate(self.dates.moments.tolist())]
            row = [model.new_int_var(0, int(may), "") for may in could]
            for before, after in pairwise(row):
                model.add(before <= after)
            for t, by_date in enumerate(row):
                self._pay(float(money[t] - money[t + 1]), by_date)
            self.constant += floor(float(money[-1]) * SCALE)  # as if sent after the last date
            sent.append(row)
        for there, each in shared(inst, self.earliest, self.dates):
            for t, most in enumerate(there):
                model.add(total([each[b] * sent[b][t] for b in range(len(sent))]) <= floor(most))
        work = [self._begun(sent, job, b) for b, job in self._jobs()]
        self._goods(work)
        self._bench_hours(sent, work)

    def _jobs(self) -> list[tuple[int, int]]:
        """(batch, assembly job) of all there is, and (batch, -1) for the packing of each."""
        inst, of = self.inst, range(self.inst.batch_work.size)
        jobs = [(b, job) for b in of for job in range(int(inst.job_ptr[b]), int(inst.job_ptr[b + 1]))]
        return [*jobs, *((b, -1) for b in of)]

    def _begun(self, sent: list[list[cp_model.IntVar]], job: int, b: int) -> list[cp_model.IntVar]:
        """Whether a job, or the packing of its batch, has begun by each moment: in time for what is sent."""
        row = [self.model.new_bool_var("") for _ in self.latest.moments]
        for before, after in pairwise(row):
            self.model.add_implication(before, after)
        last = self.latest.packing[b] if job < 0 else self.latest.assembly[job]
        for t, by_date in enumerate(sent[b]):
            k = int(np.searchsorted(self.latest.moments, last[t]))
            if last[t] >= 0 and k < len(row):
                self.model.add(by_date <= row[k])
        return row

    def _goods(self, begun: list[list[cp_model.IntVar]]) -> None:
        """What has begun by each moment has its parts and pieces."""
        inst, model, total = self.inst, self.model, cp_model.LinearExpr.sum
        asked: list[dict[int, int]] = [{} for _ in range(inst.good_run.size)]
        for n, (b, job) in enumerate(self._jobs()):
            if job < 0:
                mine, goods, number = range(*inst.batch_need_ptr[b : b + 2].tolist()), inst.batch_good, inst.batch_qty
            else:
                mine, goods, number = range(*inst.job_need_ptr[job : job + 2].tolist()), inst.job_good, inst.job_qty
            for i in mine:
                asked[goods[i]][n] = asked[goods[i]].get(n, 0) + int(number[i])
        for good, by_job in enumerate(asked):
            run = int(inst.good_run[good])
            for k, moment in enumerate(self.latest.moments.tolist()):
                takes = total([quantity * begun[n][k] for n, quantity in by_job.items()])
                if run < 0 and pieces_there(inst, good, moment) < sum(by_job.values()):
                    model.add(takes <= pieces_there(inst, good, moment))
                elif run >= 0 and by_job:
                    whole, good_ones = int(inst.good_count_shots[good]), int(inst.good_need[good])
                    rested = moment - int(inst.good_rest_s[good])
                    made = total([self._made_by(p, r, rested) for p, r in self.made if r == run])
                    model.add(whole * takes <= whole * int(inst.in_hand[good]) + good_ones * made)

    def _bench_hours(self, sent: list[list[cp_model.IntVar]], begun: list[list[cp_model.IntVar]]) -> None:
        """What is sent by a date and has not begun by a moment before it is all done between the two."""
        inst, model, total = self.inst, self.model, cp_model.LinearExpr.sum
        pack = inst.pack_start, inst.pack_end, inst.pack_people
        asm = inst.asm_start, inst.asm_end, inst.asm_people
        jobs = self._jobs()
        for t, date in enumerate(self.dates.moments.tolist()):
            ends = int(self.latest.packing[:, t].max(initial=-1))
            for k, moment in enumerate(self.latest.moments.tolist()):
                for bench, until, assembling in ((asm, ends, True), (pack, date, False)):
                    some = [
                        (n, b, int(inst.job_work[job] if assembling else inst.batch_work[b]))
                        for n, (b, job) in enumerate(jobs)
                        if (job >= 0) == assembling
                    ]
                    most = _person_seconds(*bench, moment, until)
                    if moment >= until or sum(work for _, _, work in some) <= most:
                        continue
                    left = []
                    for n, b, work in some:
                        after = model.new_bool_var("")
                        model.add(after >= sent[b][t] - begun[n][k])
                        left.append(work * after)
                    model.add(total(left) <= most)

    def _ms(self, p: int, r: int) -> int:
        """Milliseconds of a shot, at the least."""
        return int(self.inst.shot_num[p, r] * MS // self.inst.shot_den[p, r])

    def _pay(self, money: float, number: cp_model.LinearExprT) -> None:
        self.cost.append(floor(money * SCALE) * number)


def _person_seconds(opens: Ints, closes: Ints, people: Ints, begin: int, until: int) -> int:
    """Of a bench between two moments."""
    return int((np.clip(np.minimum(closes, until) - np.maximum(opens, begin), 0, None) * people).sum())


def _shortest(amounts: Floats) -> Floats:
    """(n + 1, n) along shortest ways from each, and from the start, to each other."""
    n = amounts.shape[1]
    between = amounts[:n].copy()
    for middle in range(n):
        between = np.minimum(between, between[:, middle, None] + between[None, middle, :])
    np.fill_diagonal(between, 0.0)
    first = (amounts[n][:, None] + between).min(axis=0)
    np.fill_diagonal(between, np.inf)
    return np.vstack([between, first])


def _detours(ways: Floats, shortest: Floats) -> Floats:
    """(n) what it takes at the least to pass each between any two others, or at the end, beyond the way past it."""
    n = ways.shape[0]
    past = np.where(np.eye(n, dtype=np.bool_), 0.0, shortest)
    found = np.full(n, np.inf)
    for j in range(n):
        found[j] = ways[:, j].min()  # at the end
        for a in np.flatnonzero(np.isfinite(ways[:, j])):
            there = np.isfinite(ways[j]) & np.isfinite(past[a])
            if there.any():
                found[j] = min(found[j], (ways[a, j] + ways[j, there] - past[a, there]).min())
    least: Floats = np.maximum(0.0, found)
    return least
