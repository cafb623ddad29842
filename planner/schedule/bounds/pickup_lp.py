"""What is made, entered and sent by each of a few pick-ups, as a linear programme: press work and lateness together.

Why: the bounds of press work alone let every run go to its cheapest press, and those of lateness let every batch be
the only one. Here a press, a tool, a bench and a pick-up have so many hours and so much room by each date, a run made
on a press is entered there by a path from the press's start, and what is sent needs its parts.

Everything is relaxed the same way: shares instead of wholes, and by the date instead of in order. All arcs are there,
so what it gives is a bound.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from planner.schedule.bounds.changeovers import Changeovers
from planner.schedule.bounds.earliest import Earliest, material_there
from planner.schedule.bounds.lp_rows import Rows, Term
from planner.schedule.bounds.work import usable_seconds
from planner.schedule.instance import Floats, Instance, Ints

MOST_DATES = 10
"""Pick-ups looked at: more make the programme larger and its value a little higher."""


BEYOND = 1.25
"""How far after the last promise dates go, as a multiple of the time to it: what is later counts as that late."""


@dataclass(frozen=True)
class Dates:
    """The pick-ups looked at: their moments, and the first day on which what misses each could leave."""

    moments: Ints
    missed_day: Ints


def dates(inst: Instance, earliest: Earliest) -> Dates:
    """A few pick-ups, evenly spread, from the first at which something could be late to well after the last promise."""
    promised = inst.batch_due[(inst.batch_late_cost > 0) & (inst.batch_due <= inst.pickup_day[-1])]
    if not promised.size:
        return Dates(inst.pickup_t[:0], inst.pickup_day[:0])
    first = max(int(earliest.pickup.min()), int(np.searchsorted(inst.pickup_day, promised.min(), side="right")) - 1)
    until = inst.pickup_t[int(np.searchsorted(inst.pickup_day, promised.max()))] * BEYOND
    last = max(first, int(np.searchsorted(inst.pickup_t, until, side="right")) - 1)
    chosen = np.unique(np.linspace(first, last, min(MOST_DATES, last - first + 1)).round().astype(int))
    following = np.minimum(chosen + 1, inst.pickup_t.size - 1)
    return Dates(inst.pickup_t[chosen], inst.pickup_day[following])


def arcs(inst: Instance) -> int:
    """How many arcs the programme has: what its size goes by."""
    return int((inst.fits.sum(axis=1) ** 2).sum())


class PickupLp:
    """The programme of one instance. `rows.stop()` ends its gathering."""

    def __init__(self, inst: Instance, least: Changeovers, earliest: Earliest, rows: Rows) -> None:
        self.inst, self.least, self.earliest, self.rows = inst, least, earliest, rows
        self.dates = dates(inst, earliest)
        self.work = inst.run_shots * inst.shot_num / inst.shot_den
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
            could = self._open(p, begin, int(moment)) / max(1.0, float(self.work[p, r]))
            shares.append(rows.variable(most=min(1.0, could)))
        shares.append(rows.variable(most=1.0, cost=float(self.work[p, r] * inst.press_cost_s[p])))
        for before, after in pairwise(shares):
            rows.at_most(0.0, [(before, 1.0), (after, -1.0)])
        self.made[p, r] = shares

    def _open(self, p: int, begin: int, until: int, warm: int = 0) -> float:
        a, b = int(self.inst.open_ptr[p]), int(self.inst.open_ptr[p + 1])
        opens = np.maximum(self.inst.open_start[a:b], begin)
        return float(np.clip(np.minimum(self.inst.open_end[a:b], until) - opens - warm, 0, None).sum())

    def _press(self, p: int, runs: list[int]) -> None:
        """Entries of the press's runs, its warm-ups, and its hours by each date."""
        inst, rows, least = self.inst, self.rows, self.least
        start = inst.run_tool.size
        money = least.money(inst, inst.press_cost_s)[p]
        into: dict[int, list[tuple[int, int]]] = {r: [] for r in runs}
        out: dict[int, list[int]] = {q: [] for q in [*runs, start]}
        seconds: list[Term] = [(self.made[p, r][-1], float(self.work[p, r])) for r in runs]
        changes: list[Term] = []
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
        rows.at_most(0.0, [*seconds, (restarts, shots), (stretches, -usable)])
        rows.at_least(0.0, [(restarts, 1.0), *changes, (stretches, -1.0)])
        for t, moment in enumerate(self.dates.moments):
            most = self._open(p, 0, int(moment), int(inst.restart_s[p]))
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
            spans = sorted(
                (max(int(inst.open_start[k]), int(inst.tool_ready[tool])), int(inst.open_end[k]))
                for p in presses
                for k in range(int(inst.open_ptr[p]), int(inst.open_ptr[p + 1]))
            )
            for t, moment in enumerate(self.dates.moments):
                most, at = 0, 0
                for opens, closes in spans:
                    if opens >= moment:
                        break
                    end = min(closes, int(moment))
                    most += max(0, end - max(opens, at))
                    at = max(at, end)
                work = [(self.made[p, r][t], float(self.work[p, r] + self.entry_s[p, r])) for p, r in mine]
                self.rows.at_most(float(most), work)

    def _batches(self) -> None:
        """Share of each batch sent by each date: its parts made, its pieces there, its work done, room in the van."""
        inst, rows, moments = self.inst, self.rows, self.dates.moments
        sent: list[list[int]] = []
        for b in range(inst.batch_work.size):
            shares = []
            leaves = int(inst.pickup_t[self.earliest.pickup[b]])
            days = np.maximum(0, self.dates.missed_day - inst.batch_due[b])
            first = max(0, int(inst.pickup_day[self.earliest.pickup[b]]) - int(inst.batch_due[b]))
            lateness = np.concatenate([[first], np.maximum(days, first)]) * float(inst.batch_late_cost[b])
            for t, moment in enumerate(moments):
                # sent by this date instead of the next: so much less late
                saves = float(lateness[t + 1] - lateness[t])
                shares.append(rows.variable(cost=-saves, most=1.0 if leaves <= moment else 0.0))
            for before, after in pairwise(shares):
                rows.at_most(0.0, [(before, 1.0), (after, -1.0)])
            sent.append(shares)
            rows.constant += float(lateness[-1])  # as if sent after the last date
        work = np.array([inst.job_work[inst.job_ptr[b] : inst.job_ptr[b + 1]].sum() for b in range(len(sent))])
        pick_ups = np.searchsorted(inst.pickup_t, moments, side="right")
        for t, moment in enumerate(moments):
            for opens, closes, people, begins, each in (
                (inst.asm_start, inst.asm_end, inst.asm_people, self.earliest.assembly_begins, work),
                (inst.pack_start, inst.pack_end, inst.pack_people, self.earliest.packing_begins, inst.batch_work),
            ):
                opened = np.maximum(opens, begins)
                there = float((np.clip(np.minimum(closes, moment) - opened, 0, None) * people).sum())
                rows.at_most(there, [(sent[b][t], float(each[b])) for b in range(len(sent)) if each[b]])
            room = float(inst.pickup_parcels) * float(pick_ups[t])
            if room < inst.batch_parcels.sum():
                rows.at_most(room, [(sent[b][t], float(inst.batch_parcels[b])) for b in range(len(sent))])
        self._goods(sent)

    def _goods(self, sent: list[list[int]]) -> None:
        inst = self.inst
        asked: list[dict[int, float]] = [{} for _ in range(inst.good_run.size)]
        for b in range(len(sent)):
            jobs = range(int(inst.job_need_ptr[inst.job_ptr[b]]), int(inst.job_need_ptr[inst.job_ptr[b + 1]]))
            own = range(int(inst.batch_need_ptr[b]), int(inst.batch_need_ptr[b + 1]))
            for good, quantity in [
                *((int(inst.job_good[i]), int(inst.job_qty[i])) for i in jobs),
                *((int(inst.batch_good[i]), int(inst.batch_qty[i])) for i in own),
            ]:
                asked[good][b] = asked[good].get(b, 0.0) + quantity
        for good, by_batch in enumerate(asked):
            run = int(inst.good_run[good])
            for t, moment in enumerate(self.dates.moments):
                takes = [(sent[b][t], quantity) for b, quantity in by_batch.items()]
                if run < 0:
                    steps = range(int(inst.piece_ptr[good]), int(inst.piece_ptr[good + 1]))
                    there = max((int(inst.piece_count[s]) for s in steps if inst.piece_t[s] <= moment), default=0)
                    if there < sum(by_batch.values()):
                        self.rows.at_most(float(there), takes)
                elif takes:
                    each = float(inst.good_need[good] / inst.good_count_shots[good] * inst.run_shots[run])
                    makes = [(self.made[p, run][t], -each) for p in range(inst.restart_s.size) if inst.fits[p, run]]
                    self.rows.at_most(float(inst.good_stock[good]), [*takes, *makes])
