"""What the branching stands on: tables worked out once for a campaign, and room for its stack.

Bought material that is short whatever is done is priced once, by what whole bags leave over: what waste takes of it is
then paid either way, so the rest of a path counts waste without its price.
"""

from collections.abc import Callable
from typing import Any

import numpy as np

from planner.schedule import timing as w
from planner.schedule.bounds.changeovers import Changeovers, least_changeovers
from planner.schedule.bounds.earliest import earliest_dispatch, material_there
from planner.schedule.bounds.whole_bags import material_kg, unpriced
from planner.schedule.bounds.work import usable_seconds
from planner.schedule.branch_and_bound import path_state as br
from planner.schedule.branch_and_bound.branching import branch, fill_rest
from planner.schedule.branch_and_bound.capacity_bounds import MOST_STRETCHES, SHARES
from planner.schedule.branch_and_bound.deadlines import Needs, needs_of
from planner.schedule.branch_and_bound.lagrangian import TIGHT, WORTHS
from planner.schedule.branch_and_bound.records import BenchHours, Branching, Rest
from planner.schedule.branch_and_bound.symmetry import Kinds
from planner.schedule.instance import Floats, Instance, Ints
from planner.schedule.packed import pack
from planner.schedule.pauses import most_waits
from planner.schedule.timing import timing_for

CELLS_A_SLICE = 100_000
_FILL: Any = fill_rest
_BRANCH: Any = branch


class Tables:
    """Tables and stack. `fill` before the first `branch`."""

    def __init__(self, inst: Instance, packed: Instance, kinds: Kinds) -> None:
        self.inst = inst
        presses, runs, lots = inst.restart_s.size, inst.run_tool.size, inst.lot_run.size
        self.kinds = kinds
        shots = inst.lot_shots[kinds.lots[kinds.ends - 1]]
        lot_kg = material_kg(inst, kinds.run) * shots[:, None]
        base = (lot_kg * kinds.total[:, None]).sum(axis=0)
        short = np.isinf(inst.supply_kg[inst.supply_ptr[1:] - 1]) & (base - inst.material_have > 1e-3)
        bought = np.flatnonzero(short)
        cheap = unpriced(inst, short)
        least = least_changeovers(cheap)
        usable = np.maximum(usable_seconds(inst), 1)
        warm = inst.aim_cost * inst.restart_s * inst.press_cost_s / usable
        self._rest(least, shots, warm)
        self.marks = np.zeros(br.MARKS, dtype=np.int64)
        self.marks[br.KINDS] = kinds.run.size
        self.marks[br.IN_ORDER] = int(not inst.clears)
        restarts = inst.restart_s.any() or inst.startup_shots.any() or inst.clearing > 0
        self.marks[br.WAITS] = most_waits(lots) if restarts and inst.lot_release.size else 0  # written by the branching
        self.amounts = np.zeros(br.AMOUNTS)
        self.amounts[br.FIXED] = inst.aim_cost * inst.fixed_cost
        plain = least_changeovers(inst)
        self.earliest = earliest_dispatch(inst, plain)
        needs = needs_of(inst, self.earliest)
        batches, pickups = inst.batch_work.size, needs.latest.shape[1]
        self.marks[br.PICKUPS] = pickups
        gained, position = _positions(inst)
        widest = np.full((batches, pickups), -1, dtype=np.int64)
        for i, b in enumerate(needs.needs[:, 1]):
            widest[b] = np.maximum(widest[b], needs.latest[i])
        both = np.concatenate([needs.latest, widest])
        until = np.stack([position(p, both) for p in range(presses)], axis=-1)
        ready = np.maximum(inst.tool_ready[inst.run_tool], [material_there(inst, r) for r in range(runs)])
        others = ~np.eye(runs, dtype=bool)
        least_s = np.zeros((presses, runs))
        for p in range(presses):
            for r in np.flatnonzero(inst.fits[p]):
                before = [*np.flatnonzero(inst.fits[p] & others[r]), runs]
                least_s[p, r] = np.where(plain.needed[p, before, r], plain.seconds[p, before, r], 0).min()
        sizes = np.array(
            [[inst.lot_shots[inst.lot_run == r].min(), inst.lot_shots[inst.lot_run == r].max()] for r in range(runs)],
            dtype=np.int64,
        ).reshape(-1, 2)
        masks = np.array([sum(1 << int(q) for q in np.flatnonzero(inst.clash[r])) for r in range(runs)], dtype=np.int64)
        self.stack = np.zeros((lots + 1, br.STATE), dtype=np.int64)
        self.stack[0, br.TRIED] = -1
        self.stack[0, br.SET] = int((kinds.total * kinds.strides).sum())
        timing = timing_for(inst)
        _begun(inst, timing.presses)
        timing.tools[:, w.TOOL_MELT :] = packed.tool_melt
        timing.dryers[:, w.DRIES] = -1
        left = np.zeros((lots + 1, kinds.run.size), dtype=np.int64)
        left[0] = kinds.total
        last = np.zeros((lots + 1, presses), dtype=np.int64)
        last[0] = kinds.last_of[:, runs]
        sent = np.zeros((lots + 1, batches), dtype=np.int64)
        sent[0] = needs.sent
        self.sent, self.penalty = sent, needs.penalty
        unmade = np.zeros((lots + 1, bought.size))
        unmade[0] = base[bought]
        words = timing.presses.size + timing.tools.size + timing.setters.size + timing.dryers.size
        self.packed, self.timing = packed, timing
        self.branching = Branching(
            marks=self.marks, amounts=self.amounts, stack=self.stack,
            kept_ints=np.zeros((lots + 1, words), dtype=np.int64),
            kept_floats=np.zeros((lots + 1, timing.used_kg.size + timing.totals.size + timing.bills.size)),
            kinds=np.concatenate([kinds.run, kinds.ends]), kind_lots=kinds.lots, kind_fits=kinds.fits,
            pinned=kinds.pinned, last_of=kinds.last_of, last=last, offsets=kinds.offsets, strides=kinds.strides,
            left=left, made=np.zeros((lots + 1, runs), dtype=np.int64),
            mask=np.zeros((lots + 1, presses), dtype=np.int64), clashing=masks, sent=sent, rest=self.rest,
            into=self.into, base=np.full(lots + 1, -np.inf), warm=warm,
            lot_kg=np.ascontiguousarray(lot_kg[:, bought]), unmade_kg=unmade, bought=bought, need_ptr=needs.ptr,
            needs=needs.needs, latest=needs.latest, own_ptr=needs.own_ptr, own=needs.own, penalty=needs.penalty,
            until=until, gained=gained, least_s=least_s,
            a_shot=np.where(inst.fits, inst.shot_num / inst.shot_den, 0.0), sizes=sizes,
            ready=np.stack([position(p, ready) for p in range(presses)]), scratch=np.zeros((4, presses)),
            **self._shared(needs, position, lots),
        )  # fmt: skip
        self._tables = pack(self.branching)

    def _rest(self, least: Changeovers, shots: Ints, warm: Floats) -> None:
        inst, kinds = self.inst, self.kinds
        presses, runs = inst.fits.shape
        fewest = np.array([shots[kinds.group == g].min() for g in kinds.group])
        second = inst.aim_cost * inst.press_cost_s + warm
        entry = inst.aim_cost * least.money(inst, inst.press_cost_s) + least.seconds * warm[:, None, None]
        entry = entry + inst.aim_waste * least.kg
        self.into = np.zeros((presses, int(kinds.last_of[:, runs].max()) + 1, kinds.run.size))
        target = np.full((presses, kinds.run.size), -1, dtype=np.int64)
        for p in range(presses):
            moulding = second[p] + inst.aim_cost * inst.tending[p, kinds.run]
            work = fewest * inst.shot_num[p, kinds.run] // inst.shot_den[p, kinds.run] * moulding
            for q in [*np.flatnonzero(inst.fits[p]), runs]:
                self.into[p, kinds.last_of[p, q]] = work + np.where(kinds.run == q, 0.0, entry[p, q, kinds.run])
            target[p] = np.where(kinds.fits[p] != 0, kinds.last_of[p, kinds.run], -1)
        first = np.unique(kinds.group, return_index=True)[1]
        self._into, self._target = np.ascontiguousarray(self.into[:, :, first]), np.ascontiguousarray(target[:, first])
        self.rest = np.zeros(kinds.cells)

    def _shared(self, needs: Needs, position: Callable[[int, Any], Floats], lots: int) -> dict[str, Any]:
        """What batches share: assembly (all jobs, then one job each), packing, the shots of each run."""
        inst = self.inst
        batches, pickups, runs = inst.batch_work.size, needs.latest.shape[1], inst.run_tool.size
        weight = np.zeros((3 + runs + MOST_STRETCHES, batches))
        asked = np.zeros((runs, 2))
        lasts = np.full((runs, pickups), -1, dtype=np.int64)
        amounts = np.zeros((inst.good_run.size, batches))
        for b in range(batches):
            jobs = range(inst.job_ptr[b], inst.job_ptr[b + 1])
            weight[0, b] = inst.job_work[jobs].sum() if len(jobs) else 0.0
            weight[1, b] = inst.job_work[jobs].min() if len(jobs) else 0.0
            for job in jobs:
                for i in range(inst.job_need_ptr[job], inst.job_need_ptr[job + 1]):
                    amounts[inst.job_good[i], b] += inst.job_qty[i]
            for i in range(inst.batch_need_ptr[b], inst.batch_need_ptr[b + 1]):
                amounts[inst.batch_good[i], b] += inst.batch_qty[i]
        weight[2] = inst.batch_work
        for g in np.flatnonzero(inst.good_run >= 0):
            r = inst.good_run[g]
            share = amounts[g].sum() / max(1, inst.good_need[g] + inst.good_stock[g])
            if asked[r, 1] == 0.0 or share > 1.0:
                asked[r] = inst.good_stock[g], inst.good_need[g] / inst.good_count_shots[g]
                weight[3 + r], lasts[r] = amounts[g], needs.lasts[g]
        worth = np.diff(needs.penalty[:-1], axis=1)
        order = np.zeros((3 + runs, pickups, batches), dtype=np.int64)
        for what in range(3 + runs):
            ratio = worth / np.maximum(weight[what], 1e-9)[:, None]
            order[what] = np.argsort(-ratio, axis=0, kind="stable").T
        benches = [(inst.asm_start, inst.asm_end, inst.asm_people), (inst.pack_start, inst.pack_end, inst.pack_people)]
        longest = max(bench[0].size for bench in benches)
        hours, bench = np.zeros((2, longest, 3)), np.zeros((2, longest + 2))
        room = np.zeros((2, pickups + 1))
        for side, (opens, closes, people) in enumerate(benches):
            hours[side, : opens.size] = np.stack([opens, closes, people], axis=1)
            bench[side, 2 : opens.size + 2] = np.cumsum((closes - opens) * people)
            bench[side, 0] = opens.size
            until = needs.assembled if side == 0 else inst.pickup_t[:pickups]
            begins = self.earliest.assembly_begins if side == 0 else self.earliest.packing_begins
            for k, moment in enumerate([*until.tolist(), begins]):
                room[side, k] = _worked_by(opens, closes, people, moment)
        until_run = np.stack([position(p, lasts) for p in range(inst.restart_s.size)], axis=-1)
        by = np.array(
            [[_worked_by(*benches[0], moment) for moment in row] for row in needs.packed.tolist()], dtype=float
        )
        self.hours = pack(BenchHours(hours, bench))
        return {
            "weight": weight, "order": order, "room": room, "hours": self.hours,
            "standing": np.zeros((lots + 2, 2, batches)), "asked": asked, "until_run": until_run, "lasts": lasts,
            "shots_by": np.zeros(runs), "begins": np.zeros((lots + 1, max(1, inst.job_work.size))), "by": by,
            "tight": np.zeros((3 + runs + MOST_STRETCHES, TIGHT)), "worths": np.zeros((WORTHS, batches)),
            "shares": np.zeros((SHARES, runs)),
        }  # fmt: skip

    def fill(self, should_stop: Callable[[], bool]) -> bool:
        """Work out the cheapest rest of every set; False if asked to stop meanwhile."""
        kinds, fill = self.kinds, _FILL
        for row in kinds.offsets:
            widths, (offset, lasts) = np.ascontiguousarray(row[:-2]), row[-2:].tolist()
            choices = kinds.last_of[:, -1] + 1
            last = np.arange(lasts)[:, None] // np.maximum(widths, 1) % choices
            table = pack(Rest(self.rest, kinds.together, kinds.steps, last, self._into, self._target, widths))
            step = max(1, CELLS_A_SLICE // lasts)
            for begin in range(0, kinds.sets, step):
                if should_stop():
                    return False
                fill(table, offset, begin, min(kinds.sets, begin + step))
        return True

    def branch(self) -> int:
        """Go on branching, as the marks say; see `branching.branch`."""
        return int(_BRANCH(self.packed, self.timing, self._tables))

    def releases(self) -> Ints:
        """(J) openings that lots of the plan in the stack wait for on purpose, s; 0: none."""
        found = np.zeros(self.inst.lot_run.size, dtype=np.int64)
        found[self.stack[1:, br.LOT]] = self.stack[1:, br.RELEASE]
        return found

    def sequences(self) -> list[list[int]]:
        """Lots of each press of the plan in the stack."""
        found: list[list[int]] = [[] for _ in range(self.inst.restart_s.size)]
        for row in self.stack[1:]:
            found[row[br.ON]].append(int(row[br.LOT]))
        return found


def _worked_by(opens: Ints, closes: Ints, people: Ints, moment: int) -> float:
    """Person-seconds a bench has been open until a moment."""
    return float((np.clip(np.minimum(closes, moment) - opens, 0, None) * people).sum())


def _begun(inst: Instance, presses: Ints) -> None:
    """As everything stands at the start."""
    presses[:, w.STRETCH] = inst.open_ptr[:-1]
    presses[:, w.HOT] = -1
    presses[:, w.TOOL] = inst.press_tool
    presses[:, w.MELT], presses[:, w.MELT_2] = inst.press_melt.T
    presses[:, w.SINCE], presses[:, w.ROW], presses[:, w.PAID_STRETCH] = -1, -1, -1


def _positions(inst: Instance) -> tuple[Floats, Callable[[int, Any], Floats]]:
    """Seconds a press can have worked, warm-ups apart: before each stretch (one more a press), and until a moment."""
    gained = np.zeros(inst.open_start.size + inst.restart_s.size)
    for p in range(inst.restart_s.size):
        a, b = int(inst.open_ptr[p]), int(inst.open_ptr[p + 1])
        worked = np.maximum(0, inst.open_end[a:b] - inst.open_start[a:b] - inst.restart_s[p])
        gained[a + p + 1 : b + p + 1] = np.cumsum(worked)

    def position(p: int, moments: Any) -> Floats:
        a, b = int(inst.open_ptr[p]), int(inst.open_ptr[p + 1])
        moments = np.asarray(moments)
        if a == b:  # it never opens
            return np.zeros(moments.shape)
        k = np.searchsorted(inst.open_start[a:b], moments, side="right") - 1
        inside = np.minimum(moments, inst.open_end[a:b][k]) - inst.open_start[a:b][k] - inst.restart_s[p]
        found: Floats = np.where(k >= 0, gained[a + p + k] + np.maximum(0, inside), 0.0)
        return found

    return gained, position
