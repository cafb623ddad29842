"""Whether the runs can be strung together on the presses at all: a relaxation by CP-SAT, and orders of runs to try.

Each run demand is entered once, on one press it fits, after another or first, wherever the least changeover that could
need fits into some stretch of that press after the tool is ready; all of it fits into the hours a press has in its
calendar; material that cannot be bought covers every shot, start-up and the least purge of each entry; resins that must
never meet are apart. Setters, hot runners, what order the presses work in and when anything is late are left out, so
what this cannot do no plan can.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from ortools.sat.python import cp_model

from planner.schedule.bounds.changeovers import least_changeovers
from planner.schedule.instance import Bools, Floats, Instance
from planner.schedule.lot_sizes import most_lots, smallest_lots
from planner.schedule.solution import Solution

GRAMS = 1000
SLACK_G = 10
"""Grams by which a material may be short before it counts, for what rounding hides."""
EFFORT = 5.0
"""Deterministic seconds a question may take."""


@dataclass(frozen=True)
class Kept:
    """What a relaxation holds to: press hours, the supply of each material (K), and resins apart."""

    hours: bool = True
    materials: Bools | None = None
    apart: bool = True


def enterable(inst: Instance) -> Bools:
    """(P, R + 1, R) whether run r can be entered after run q on press p (R: first), for all that stretches allow."""
    presses, runs = inst.fits.shape
    least = least_changeovers(inst)
    can = np.zeros((presses, runs + 1, runs), dtype=np.bool_)
    for p in range(presses):
        opens, closes = (at[inst.open_ptr[p] : inst.open_ptr[p + 1]] for at in (inst.open_start, inst.open_end))
        for r in np.flatnonzero(inst.fits[p]):
            longest = int((closes - np.maximum(opens, inst.tool_ready[inst.run_tool[r]])).max(initial=-1))
            cold = inst.restart_s[p] + inst.startup_s[p, r]
            can[p, :, r] = np.where(least.needed[p, :, r], least.seconds[p, :, r] <= longest, longest > 0)
            work = -(-_smallest(inst, int(r)) * inst.shot_num[p, r] // inst.shot_den[p, r])
            if cold >= (closes - opens).max(initial=-1) and work > longest:
                can[p, :, r] = False  # never goes on after a closing, and does not end before one
    return _through_lots(inst, can)


def _smallest(inst: Instance, run: int) -> int:
    """Shots of the smallest piece the demand may be made in."""
    return 1 if _several(inst)[run] else int(inst.run_shots[run])


def _several(inst: Instance) -> Bools:
    """(R) whether a demand has several lots, or may have."""
    several: Bools = most_lots(inst) > 1
    return several


def _through_lots(inst: Instance, can: Bools) -> Bools:
    """Where a demand may be cut into lots, one of them may stand between any two runs and open the way."""
    for s in np.flatnonzero(_several(inst)):
        can = can | (can[:, :, s, None] & can[:, s, None, :])
    return can


def _least_kg(inst: Instance) -> Floats:
    """(P, R + 1, R, K) the least of each material that entering a run takes: start-up shots, and sure purges."""
    presses, runs = inst.fits.shape
    kg = np.zeros((presses, runs + 1, runs, inst.material_price.size))
    several = _several(inst)
    for p in range(presses):
        for r in np.flatnonzero(inst.fits[p]):
            for b, new in enumerate(inst.run_melt[r]):
                if new < 0:
                    continue
                taken = np.full(runs + 1, inst.startup_shots[r] * inst.shot_kg[r, b])
                old = np.append(inst.run_melt[:, b], inst.press_melt[p, b])
                sure = (old >= 0) & (old != new) & (inst.compound < 0) & ~several.any()
                taken += np.where(sure, inst.purge_kg[p, b, old, new], 0.0)
                share = float(inst.melt_master_share[new])
                kg[p, :, r, inst.melt_resin[new]] += taken * (1 - share)
                if inst.melt_master[new] >= 0:
                    kg[p, :, r, inst.melt_master[new]] += taken * share
    return kg


def usable_in_all(inst: Instance, p: int) -> int:
    """Seconds that all stretches of a press hold after a warm-up in each."""
    a, b = int(inst.open_ptr[p]), int(inst.open_ptr[p + 1])
    return int(np.maximum(0, inst.open_end[a:b] - inst.open_start[a:b] - inst.restart_s[p]).sum())


def moulded_kg(inst: Instance) -> Floats:
    """(K) what the shots of all run demands take of each material."""
    kg = np.zeros(inst.material_price.size)
    for r, shots in enumerate(inst.run_shots):
        for b, melt in enumerate(inst.run_melt[r]):
            if melt >= 0:
                share = float(inst.melt_master_share[melt])
                kg[inst.melt_resin[melt]] += shots * inst.shot_kg[r, b] * (1 - share)
                if inst.melt_master[melt] >= 0:
                    kg[inst.melt_master[melt]] += shots * inst.shot_kg[r, b] * share
    return kg


def finite(inst: Instance) -> Bools:
    """(K) materials of which no more can be bought."""
    found: Bools = np.isfinite(inst.supply_kg[inst.supply_ptr[1:] - 1])
    return found


class Paths:
    """The relaxation, ready to be asked. `impossible`: proven that nothing satisfies it."""

    def __init__(self, inst: Instance, kept: Kept | None = None) -> None:
        kept = kept or Kept()
        self.inst = inst
        self.model = cp_model.CpModel()
        self.least = least_changeovers(inst)
        presses, runs = inst.fits.shape
        can = enterable(inst) if kept.hours else np.broadcast_to(inst.fits[:, None, :], (presses, runs + 1, runs))
        self.arcs: dict[tuple[int, int, int], cp_model.IntVar] = {}
        here = {
            (p, r): self.model.new_bool_var(f"run {r} on press {p}")
            for p in range(presses)
            for r in range(runs)
            if inst.fits[p, r] and can[p, :, r].any()
        }
        for r in range(runs):
            self.model.add_exactly_one(here[p, r] for p in range(presses) if (p, r) in here)
        for p in range(presses):
            mine = [r for r in range(runs) if (p, r) in here]
            idle = self.model.new_bool_var(f"press {p} idle")
            circuit: list[tuple[int, int, Any]] = [(runs, runs, idle)]
            for r in mine:
                self.model.add_implication(here[p, r], ~idle)
                circuit.append((r, r, ~here[p, r]))
                circuit.append((r, runs, self.model.new_bool_var("")))
                for q in [runs, *mine]:
                    if q != r and can[p, q, r]:
                        self.arcs[p, q, r] = self.model.new_bool_var("")
                        circuit.append((q, r, self.arcs[p, q, r]))
            self.model.add_circuit(circuit)
            if kept.hours:
                self._hours(p, here)
            for n, r in enumerate(mine if kept.apart else ()):
                for q in mine[:n]:
                    if inst.clash[q, r]:
                        self.model.add_bool_or(~here[p, q], ~here[p, r])
        self._materials(finite(inst) if kept.materials is None else kept.materials)
        self._pinned(here)
        self.impossible = False

    def _hours(self, p: int, here: dict[tuple[int, int], cp_model.IntVar]) -> None:
        """Shots and the least changeovers of a press fit into all its stretches together, less a warm-up in each."""
        inst, least, smallest = self.inst, self.least, smallest_lots(self.inst)
        usable = usable_in_all(inst, p)
        several = most_lots(inst) > 1  # such a demand may be made elsewhere but for one lot
        shots = np.where(several, smallest, inst.run_shots)
        work = [
            int(shots[r] * inst.shot_num[p, r] // inst.shot_den[p, r]) * on for (q, r), on in here.items() if q == p
        ]
        change = [
            int(least.seconds[p, q, r]) * arc
            for (o, q, r), arc in self.arcs.items()
            if o == p and least.needed[p, q, r]
        ]
        self.model.add(sum(work) + sum(change) <= usable)

    def _materials(self, counted: Bools) -> None:
        if not counted.any():
            return
        least, base = _least_kg(self.inst), moulded_kg(self.inst)
        for m in np.flatnonzero(counted):
            left = float(self.inst.supply_kg[self.inst.supply_ptr[m + 1] - 1] - base[m])
            taken = sum(int(GRAMS * least[p, q, r, m]) * arc for (p, q, r), arc in self.arcs.items())
            self.model.add(taken <= int(np.floor(GRAMS * left)) + SLACK_G)

    def _pinned(self, here: dict[tuple[int, int], cp_model.IntVar]) -> None:
        """Demands pinned whole are on the press they are pinned to."""
        lot = 0
        for p, number in enumerate(self.inst.pinned):
            for _ in range(number):
                r = int(self.inst.lot_run[lot])
                if self.inst.lot_shots[lot] == self.inst.run_shots[r]:
                    if (p, r) in here:
                        self.model.add(here[p, r] == 1)
                    else:
                        self.model.add_bool_or([])
                lot += 1

    def orders(self, number: int, seed: int) -> Iterator[Solution]:
        """Up to `number` ways to string the runs together, each another; lots of a demand stay in a row."""
        for n in range(number):
            solver = cp_model.CpSolver()
            solver.parameters.num_workers = 1
            solver.parameters.random_seed = seed + n
            solver.parameters.max_deterministic_time = EFFORT
            status = solver.solve(self.model)
            if status == cp_model.INFEASIBLE:
                self.impossible = n == 0
                return
            if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
                return
            chosen = [key for key, arc in self.arcs.items() if solver.boolean_value(arc)]
            yield self._solution(chosen)
            self.model.add_bool_or([~self.arcs[key] for key in chosen])

    def _solution(self, chosen: list[tuple[int, int, int]]) -> Solution:
        inst, runs = self.inst, self.inst.run_tool.size
        after = {(p, q): r for p, q, r in chosen}
        solution = Solution.empty(inst)
        lot = 0
        for p, number in enumerate(inst.pinned):
            for _ in range(number):
                solution.append(p, lot)
                lot += 1
        for p in range(inst.restart_s.size):
            at = runs
            while (at := after.get((p, at), -1)) >= 0:
                for j in np.flatnonzero(inst.lot_run[lot:] == at) + lot:
                    solution.append(p, int(j))
        return solution


def proven_impossible(inst: Instance, kept: Kept | None = None) -> bool:
    """Whether nothing satisfies the relaxation."""
    paths = Paths(inst, kept)
    for _ in paths.orders(1, 0):
        return False
    return paths.impossible
