"""The loads of several presses evened out by `press_loads.py` beside the chain, where the last dispatch is the aim.

Why: see there. It goes on, cooling by cooling, each from the chain's own plan; where presses are then done sooner, the
plan is timed exactly, and becomes the one to go on from if that bears it out.
"""

from typing import Any

import numpy as np

from planner.schedule.delta_tables import DeltaTables
from planner.schedule.instance import Instance
from planner.schedule.packed import pack
from planner.schedule.press_loads import LATEST, VALUES, PressLoads, even_out, lay_out
from planner.schedule.rng import seeded
from planner.schedule.solution import Solution, allowed

MOST_CELLS = 4_000_000
"""Changeovers laid out, from each lot to each on each press: 32 MB."""

MOVES_A_LOT, MOST_MOVES = 40_000, 4_000_000
"""Moves of a cooling, by how many lots there are, and at most: a second or so."""

HOT, COLD = 0.03, 0.003
"""Temperatures at the beginning and the end of a cooling, as shares of when the last press ends."""


class EveningOut:
    """Where it stands. delta: of the chain it goes beside."""

    def __init__(self, inst: Instance, packed: Instance, delta: DeltaTables, seed: int) -> None:
        self.inst, self.packed, self.delta, self.rng = inst, packed, delta, seeded(seed)
        presses, lots = inst.restart_s.size, inst.lot_run.size
        here, self.best, trial = (Solution.empty(inst) for _ in range(3))
        seconds, release = np.zeros((presses, lots + 1, lots)), np.zeros((presses, lots))
        sequences = here.packed(), self.best.packed(), trial.packed()
        self.loads = pack(PressLoads(seconds, release, *sequences, np.zeros(presses), np.zeros(VALUES)))
        self.cooling = max(1, min(MOST_MOVES, MOVES_A_LOT * lots))
        self.done = 0

    def go_on(self, here: Solution, moves: int) -> Solution | None:
        """So many moves; a plan whose presses end sooner than before, if they found one.

        here: the plan that the estimates were taken of, to begin a cooling from.
        """
        lay: Any = lay_out
        cool: Any = even_out
        if self.done == 0:
            lay(self.packed, here.packed(), self.delta, self.loads)
            self.last = float(self.loads.values[LATEST])
        until = min(self.cooling, self.done + moves)
        hot, cold = (self.last * HOT * (COLD / HOT) ** (done / self.cooling) for done in (self.done, until))
        improved = cool(self.packed, self.delta, self.loads, until - self.done, hot, cold, self.rng)
        self.done = until % self.cooling
        if not improved:
            return None
        found = here.copy()
        found.seq[:], found.length[:] = self.best.seq, self.best.length
        return found if allowed(self.inst, found) else None


def worth_it(inst: Instance) -> bool:
    """Whether the last dispatch is what the aim goes by, of several presses, with nothing announced that is to be kept,
    and the tables are small enough."""
    presses, lots = inst.restart_s.size, inst.lot_run.size
    weighs = inst.aim_last > 0.0 and inst.aim_waste == 0.0 and not inst.announced
    return bool(weighs and presses > 1 and lots > 1 and presses * lots * (lots + 1) <= MOST_CELLS)
