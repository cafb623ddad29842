"""Every order of runs on the presses as CP-SAT sees it: one circuit a press, dates and benches forgotten.

Why: entries of one path a press count together, which assignment and work alone cannot see. No arc is left out but
those that no plan cheaper than a known one can have, so what rests on it bounds every cheaper plan; a solution is an
order of runs that the search can go on from. What is to be least is for `press_model.py` and `press_finish.py` to say.
"""

from ortools.sat.python import cp_model

from planner.schedule.bounds.changeovers import Changeovers
from planner.schedule.instance import Bools, Instance

MOST_ARCS = 40_000
"""More arcs than this take longer than the bound is worth (presses x lots squared): a tour of 171 lots on one press is
proven in 7.5 s."""

MOST_ARCS_FOR_MONEY = 15_000
"""The same of several presses where the programme by dates has money's bound already: with 25 run demands it is proven
in 0.2 s; with 70 on five presses two minutes of a core gave nothing above that programme, in which a search with one
core stood still, and beside a search with two no second chain could begin."""


def small_enough(inst: Instance, needless: Bools | None = None, most: int = MOST_ARCS) -> bool:
    """Whether the model has no more arcs than `most`. needless (J + 1, J): arcs of the only press that are left out."""
    left_out = 0 if needless is None else int(needless.sum())
    return inst.restart_s.size * inst.lot_run.size**2 - left_out <= most


class PressPaths:
    """model; on[p, j]: lot j is on press p; work (P, J): seconds of its shots. seconds: of each press, all shots and
    changeovers. changes: of each press, every changeover that may be made, as run demand before it (their number: the
    press's first state), run demand after it, and whether it is made.
    """

    def __init__(self, inst: Instance, least: Changeovers, needless: Bools | None = None) -> None:
        presses, lots, runs = inst.restart_s.size, inst.lot_run.size, inst.run_tool.size
        self.lots = lots
        self.model = model = cp_model.CpModel()
        self.work = inst.lot_shots[None, :] * inst.shot_num[:, inst.lot_run] // inst.shot_den[:, inst.lot_run]
        self.on = {
            (p, j): model.new_bool_var("") for p in range(presses) for j in range(lots) if inst.fits[p, inst.lot_run[j]]
        }
        self.seconds: list[cp_model.LinearExpr] = []
        self.changes: list[list[tuple[int, int, cp_model.IntVar]]] = []
        self._arcs: dict[tuple[int, int, int], cp_model.IntVar] = {}
        head = _pinned_heads(inst)
        for j in range(lots):
            model.add_exactly_one(self.on[p, j] for p in range(presses) if (p, j) in self.on)
        for p in range(presses):
            here = [j for j in range(lots) if (p, j) in self.on]
            arcs = []
            seconds: list[cp_model.LinearExprT] = [int(self.work[p, j]) * self.on[p, j] for j in here]
            changes: list[tuple[int, int, cp_model.IntVar]] = []
            for j in here:
                arcs.append((j, j, ~self.on[p, j]))
                arcs.append((j, lots, model.new_bool_var("")))
                r = int(inst.lot_run[j])
                for i in [lots, *here]:
                    if i == j or (i < lots and inst.clash[r, inst.lot_run[i]]):
                        continue
                    if needless is not None and needless[i, j]:
                        continue
                    arc = model.new_bool_var("")
                    arcs.append((i, j, arc))
                    self._arcs[p, i, j] = arc
                    q = runs if i == lots else int(inst.lot_run[i])
                    if q != r and least.needed[p, q, r]:
                        seconds.append(int(least.seconds[p, q, r]) * arc)
                        changes.append((q, r, arc))
                for i in here:
                    if i < j and inst.clash[r, inst.lot_run[i]]:
                        model.add_bool_or(~self.on[p, i], ~self.on[p, j])
            empty = model.new_bool_var("")
            arcs.append((lots, lots, empty))
            model.add_circuit(arcs)
            for j in here:
                model.add_implication(empty, ~self.on[p, j])
            for i, j in zip([lots, *head[p]], head[p], strict=False):
                model.add(self._arcs[p, i, j] == 1)
            self.seconds.append(cp_model.LinearExpr.sum(seconds))
            self.changes.append(changes)

    def solve(self, effort: float, solver: cp_model.CpSolver) -> list[list[int]] | None:
        """Solve for so many deterministic seconds (CP-SAT's own measure of work, the same on every machine).

        The best order found, lots by press, if any; the bound stands in the solver.
        """
        solver.parameters.num_workers = 1
        solver.parameters.max_deterministic_time = effort
        solver.parameters.linearization_level = 2
        if solver.solve(self.model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        follows = {(p, i): j for (p, i, j), arc in self._arcs.items() if solver.boolean_value(arc)}
        sequences = []
        for p in range(len(self.changes)):
            chain: list[int] = []
            at = self.lots
            while (p, at) in follows:
                at = follows[p, at]
                chain.append(at)
            sequences.append(chain)
        return sequences


def _pinned_heads(inst: Instance) -> list[list[int]]:
    """Lots the maker has pinned to the head of each press."""
    heads, n = [], 0
    for number in inst.pinned:
        heads.append(list(range(n, n + int(number))))
        n += int(number)
    return heads
