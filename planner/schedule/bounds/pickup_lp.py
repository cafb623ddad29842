"""What is made, entered and sent by each of a few pick-ups, as a linear programme: press work and lateness together.

Why: the bounds of press work alone let every run go to its cheapest press, and those of lateness let every batch be
the only one. Here a press, a tool, a bench and a pick-up have so many hours and so much room by each date, a run made
on a press is entered there by a path from the press's start, and what is sent needs its parts.

Everything is relaxed the same way: shares instead of wholes, and by the date instead of in order. All arcs are there,
so what it gives is a bound.
"""

from itertools import pairwise

import numpy as np

from planner.schedule.bounds.by_dates import asked_of_goods, dates, lateness, pieces_there, shared, tool_seconds
from planner.schedule.bounds.changeovers import Changeovers
from planner.schedule.bounds.earliest import Earliest, material_there
from planner.schedule.bounds.finish import open_seconds
from planner.schedule.bounds.lp_rows import Rows, Term
from planner.schedule.bounds.work import usable_seconds
from planner.schedule.instance import Floats, Instance


def arcs(inst: Instance) -> int:
    """How many arcs the programme has: what its size goes by."""
    return int((inst.fits.sum(axis=1) ** 2).sum())


class PickupLp:
    """The programme of one instance. `rows.stop()` ends its gathering."""

    def __init__(self, inst: Instance, least: Changeovers, earliest: Earliest, rows: Rows) -> None:
        self.inst, self.least, self.earliest, self.rows = inst, least, earliest, rows
        self.dates = dates(inst, earliest)
        self.work = inst.run_shots * inst.shot_num / inst.shot_den
        self.a_second = inst.press_cost_s[:, None] + inst.tending
        self.fitting = [np.flatnonzero(inst.fits[p]).tolist() for p in range(inst.restart_s.size)]
        self.entry_s = self._least_entry()
        self.made: dict[tuple[int, int], list[int]] = {}
        for p, runs in enumerate(self.fitting):
            for r in runs:
                self._shares(p, r)
        for r in range(inst.run_tool.size):
            rows.equal(1.0, [(self.made[p, r][-1], 1.0) for p in range(inst.restart_s.size) if inst.fits[p, r]])
        for p, runs in enumerate(self.fitting):
            self._press(p, runs)
        self._tools()
        self._batches()

    def least_money(self, seconds: float) -> float | None:
        """Money of press work and lateness, at the least; None if not known in time."""
        return self.rows.least(seconds)

    def _least_entry(self) -> Floats:
        """(P, R) least seconds of entering each run, whatever comes before; none where a first run needs none."""
        found = np.zeros(self.inst.fits.shape)
        for p, runs in enumerate(self.fitting):
            for r in runs:
                before = [q for q in [*runs, self.inst.run_tool.size] if q != r]
                needed = self.least.needed[p, before, r]
                found[p, r] = np.where(needed, self.least.seconds[p, before, r], 0).min(initial=2**40)
        return found

    def _shares(self, p: int, r: int) -> None:
        """Share of run r made on press p by each date, and in the end; it grows, no faster than the press is open."""
        inst, rows = self.inst, self.rows
        begin = max(int(inst.tool_ready[inst.run_tool[r]]), material_there(inst, r))
        shares = []
        for moment in self.dates.moments:
            could = open_seconds(inst, p, begin, int(moment), 0) / max(1.0, float(self.work[p, r]))
            shares.append(rows.variable(most=min(1.0, could)))
        shares.append(rows.variable(most=1.0, cost=float(self.work[p, r] * self.a_second[p, r])))
        for before, after in pairwise(shares):
            rows.at_most(0.0, [(before, 1.0), (after, -1.0)])
        self.made[p, r] = shares

    def _press(self, p: int, runs: list[int]) -> None:
        """Entries of the press's runs, its warm-ups, and its hours by each date."""
        inst, rows, least = self.inst, self.rows, self.least
        start = inst.run_tool.size
        money = least.money(inst, inst.press_cost_s)[p]
        into: dict[int, list[tuple[int, int]]] = {r: [] for r in runs}
        out: dict[int, list[int]] = {q: [] for q in [*runs, start]}
        seconds: list[Term] = [(self.made[p, r][-1], float(self.work[p, r])) for r in runs]
        changes: list[Term] = []
        needed_first: set[int] = set()
        for r in runs:
            for q in [*runs, start]:
                if q == r or (q != start and inst.clash[q, r]):
                    continue
                needed = bool(least.needed[p, q, r])
                arc = rows.variable(cost=float(money[q, r]) if needed else 0.0)
                into[r].append((q, arc))
                out[q].append(arc)
                if needed:
                    seconds.append((arc, float(least.seconds[p, q, r])))
                    changes.append((arc, 1.0))
                    if q == start:
                        needed_first.add(arc)
        rows.at_most(1.0, [(arc, 1.0) for arc in out[start]])
        for r in runs:
            entered = [(arc, 1.0) for _, arc in into[r]]
            made = self.made[p, r][-1]
            rows.at_least(0.0, [*entered, (made, -1.0)])
            rows.at_least(0.0, [*entered, *((arc, -1.0) for arc in out[r])])
            rows.at_least(0.0, [*((arc, 1.0) for arc in out[start]), (made, -1.0)])
            self._group(p, r, into, [q for q in runs if inst.run_tool[q] == inst.run_tool[r]])
            self._group(p, r, into, [q for q in runs if inst.run_melt[q, 0] == inst.run_melt[r, 0]])
        usable = float(usable_seconds(inst)[p])
        start_up = float(least.startup[p, runs].min(initial=np.inf)) if runs else 0.0
        shots = float(inst.startup_s[p, runs].min(initial=2**40)) if runs else 0.0
        stretches = rows.variable(cost=float(inst.restart_s[p] * inst.press_cost_s[p]))
        restarts = rows.variable(cost=start_up)
        # a stretch begins with a restart or with a changeover, of which a setter stands by while the press warms up;
        # what that costs of the first on a press is part of its way from the start
        cold = rows.variable(cost=float(inst.restart_s[p] * inst.setter_cost_s[p]))
        first = [(arc, 1.0) for arc in out[start] if arc in needed_first]
        rows.at_most(0.0, [*seconds, (restarts, shots), (stretches, -usable)])
        rows.at_least(0.0, [(restarts, 1.0), (cold, 1.0), *first, (stretches, -1.0)])
        rows.at_least(0.0, [*changes, (cold, -1.0), *((arc, -1.0) for arc, _ in first)])
        for t, moment in enumerate(self.dates.moments):
            most = float(open_seconds(inst, p, 0, int(moment), int(inst.restart_s[p])))
            rows.at_most(most, [(self.made[p, r][t], float(self.work[p, r] + self.entry_s[p, r])) for r in runs])

    def _group(self, p: int, r: int, into: dict[int, list[tuple[int, int]]], group: list[int]) -> None:
        """Whoever makes a run of a group enters the group from outside (of a tool, of a melt)."""
        if len(group) > 1:
            inside = set(group)
            arcs = [(arc, 1.0) for member in group for q, arc in into[member] if q not in inside]
            self.rows.at_least(0.0, [*arcs, (self.made[p, r][-1], -1.0)])

    def _tools(self) -> None:
        """A tool is in one place at a time: its work by each date fits into the hours some press of its is open."""
        inst = self.inst
        for tool in range(inst.mount_s.size):
            mine = [(p, r) for p, r in self.made if inst.run_tool[r] == tool]
            presses = sorted({p for p, _ in mine})
            if len(presses) == 1 and len(self.fitting[presses[0]]) == len(mine) and not inst.tool_ready[tool]:
                continue  # the press's own hours say the same
            for t, most in enumerate(tool_seconds(inst, tool, presses, self.dates.moments.tolist())):
                work = [(self.made[p, r][t], float(self.work[p, r] + self.entry_s[p, r])) for p, r in mine]
                self.rows.at_most(float(most), work)

    def _batches(self) -> None:
        """Share of each batch sent by each date: its parts made, its pieces there, its work done, room in the van."""
        inst, rows, moments = self.inst, self.rows, self.dates.moments
        sent: list[list[int]] = []
        for b in range(inst.batch_work.size):
            shares = []
            leaves = int(inst.pickup_t[self.earliest.pickup[b]])
            money = lateness(inst, self.earliest, self.dates, b)
            for t, moment in enumerate(moments):
                # sent by this date instead of the next: so much less late
                saves = float(money[t + 1] - money[t])
                shares.append(rows.variable(cost=-saves, most=1.0 if leaves <= moment else 0.0))
            for before, after in pairwise(shares):
                rows.at_most(0.0, [(before, 1.0), (after, -1.0)])
            sent.append(shares)
            rows.constant += float(money[-1])  # as if sent after the last date
        for there, each in shared(inst, self.earliest, self.dates):
            for t, most in enumerate(there):
                rows.at_most(most, [(sent[b][t], float(each[b])) for b in range(len(sent)) if each[b]])
        self._goods(sent)

    def _goods(self, sent: list[list[int]]) -> None:
        inst = self.inst
        for good, by_batch in enumerate(asked_of_goods(inst)):
            run = int(inst.good_run[good])
            for t, moment in enumerate(self.dates.moments):
                takes = [(sent[b][t], float(quantity)) for b, quantity in by_batch.items()]
                if run < 0:
                    there = pieces_there(inst, good, int(moment))
                    if there < sum(by_batch.values()):
                        self.rows.at_most(float(there), takes)
                elif takes:
                    each = float(inst.good_need[good] / inst.good_count_shots[good] * inst.run_shots[run])
                    makes = [(self.made[p, run][t], -each) for p in range(inst.restart_s.size) if inst.fits[p, run]]
                    self.rows.at_most(float(inst.in_hand[good]), [*takes, *makes])
