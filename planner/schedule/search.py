"""The search for a good plan within a budget: first plans at once, bounds, annealing, and proof where it is small.

Reports as it goes. With a budget of rounds everything happens in one order, so that a seed means one plan; with a
budget of time the bound is worked out beside the search where it may use two cores, and once it is known a second chain
goes beside the first.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from ortools.sat.python import cp_model

from planner.control import Control, Progress
from planner.errors import Stopped
from planner.schedule.annealing import A_TIMING, BEST, DRAWS, FLOOR, HERE, WORSE, WORSE_LOGS
from planner.schedule.any_plan import any_plan
from planner.schedule.bounds.avoidable import avoidable_gap
from planner.schedule.bounds.background import BackgroundBound, Better
from planner.schedule.bounds.lower_bound import paid_anyway
from planner.schedule.bounds.objective_gap import DAY_S, AimMet, aim_met, cost_is_the_aim, last_is_all, last_is_the_aim
from planner.schedule.bounds.press_hours import LowerBound, beforehand, higher
from planner.schedule.bounds.split_demands import apart_only_in_time, least_when_split, whole_demands
from planner.schedule.bounds.undercut import A_CENT, BOUND, dearer, let_go, undercut
from planner.schedule.branch_and_bound.exact import (
    MOST_NODES,
    NODES_A_ROUND,
    PRECISION,
    Exact,
    exhaust,
    told_apart,
)
from planner.schedule.branch_and_bound.symmetry import kinds_if_few
from planner.schedule.chain import Chain, SecondChain
from planner.schedule.construct import first_plans
from planner.schedule.delta_tables import delta_tables_for
from planner.schedule.found import Found
from planner.schedule.infeasible import NoPlan
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.lot_sizes import cut_in_all_ways, may_be_cut, ways_to_cut
from planner.schedule.pauses import paused
from planner.schedule.recut import cuts, resized
from planner.schedule.solution import Solution, allowed, objective_of, waiting
from planner.schedule.stop import (
    AnyOf,
    Asked,
    BoundMet,
    Criterion,
    Deadline,
    Ended,
    GapReached,
    GoneThrough,
    Polish,
    Rounds,
    Stalled,
    Standing,
)
from planner.schedule.temperature_schedule import Place, place_of, starts_of, temperature, unit_of
from planner.schedule.timing import BROKEN, COST, LAST, timing_for
from planner.spared import Fault, spare

STEPS_A_ROUND = 1_000
"""Plans timed exactly in a round, moves estimated counted at A_TIMING to one."""

WORK_A_SLICE = 300_000
"""Lots, jobs, batches and needs looked at between two looks at the clock: some hundredths of a second."""

LOAD_A_DRAW = 800
"""Of so many lots, jobs, batches and needs one more move is drawn a step: the more a timing costs, the more estimates
are worth while. With 500 runs the best of 60 gave 325,900 after 6 s where the first of one gave 330,200."""

FIRST_LOOK = 4_000
"""Moves estimated, going downhill only, before temperatures are set by what they would cost."""

DOWNHILL = 1e-9
"""Temperature of going downhill, as a share of the objective."""

ALL_PLANS = "every order of the runs gone through or cut off by a bound, waits for a press's next openings included"

WHOLE_PLANS = (
    f"{ALL_PLANS}, each demand in one piece; plans that enter a demand twice bounded by an exact solver; runs that "
    "pause in the middle until an opening left out"
)

PROOF = "the proof that nothing is cheaper"
"""A part of the search that may fail."""

NO_BUDGET_ROUNDS = 200
"""Rounds where neither time nor rounds are given."""

POLISH_ROUNDS = 10
"""Rounds, from warm to cold, for what decides between plans of which none has less of what is aimed at."""

PROOF_AFTER = 3
"""Rounds before small campaigns are gone through plan by plan: a good plan cuts most of them off."""

NODES_A_CUT = 200_000
"""Branches looked at for one way to cut the lots."""

MOST_WAYS = 200
"""Ways to cut the lots of all demands up to which every one of them is gone through: then a plan is proven over all."""

NODES_OF_EQUALS, LEAVES_OF_EQUALS = 200_000, 100
"""Branches and leaves looked at where what is aimed at is proven already, and only equals are left to choose from: some
tenths of a second. Without a limit of leaves six jobs on two machines, proven to be soonest finished in 0.2 s, took 5
s."""

BOUND_EFFORT = 3.0
BOUND_EFFORT_BESIDE = 60.0
"""Deterministic seconds CP-SAT may spend on the bound: before a search by rounds, and beside one by time."""

PATIENT_FROM = 45.0
"""Seconds of a search with two cores from which the dearest bound is worked out: it takes its core for up to a third of
them, in which a second chain would search."""

KNOWN_AT = 0.01
"""Share of the budget used when it is known for how many rounds it will do."""

SPLIT_EFFORT = 5.0
"""The same for the bound on plans that split a demand: some hundredths of a second for ten run demands."""

HOPELESS = 0.02
"""Of what the best plan costs: where splitting a demand may save more, whole demands are not gone through."""

BOUND_SHARE = 0.1
"""Of a budget of time, the most that the bound may take before a search that has one core only."""


@dataclass(frozen=True)
class Budget:
    """When to stop: rounds if given, else the control's time; in any case once `gap` to the lower bound is reached."""

    rounds: int | None
    seed: int
    gap: float
    bound_effort: float = BOUND_EFFORT
    """Deterministic seconds for the bound before a search by rounds; 0: only what costs nothing."""
    stall: int | None = None
    """Rounds in a row without a better plan after which it ends too."""
    known: LowerBound | None = None
    """What was proven before of the same campaign, to begin with."""


def search(inst: Instance, budget: Budget, control: Control, start: Solution | None = None) -> Found:
    """The best plan found within the budget. `start`: a plan to begin from, if it is better than the rules' own.

    Raises NoPlan if none is found, Stopped if asked to stop before one is.
    """
    return _Search(inst, budget, control, start).run()


class _Search:
    def __init__(self, inst: Instance, budget: Budget, control: Control, start: Solution | None) -> None:
        self.inst, self.budget, self.control = inst, budget, control
        self.faults: list[Fault] = []
        self.arrays, self.timing = packed_instance(inst), timing_for(inst)
        candidates = first_plans(inst, self.arrays, self.timing)
        if start is not None and allowed(inst, start):
            candidates.append((objective_of(self.arrays, start, self.timing), start))
        candidates = [c for c in candidates if c[0] < np.inf]
        if not candidates:
            candidates = [self._looked_for()]
        value, first = min(candidates, key=lambda pair: pair[0])
        if first.release is not None:  # it cannot be carried out otherwise: its lots wait in all plans from here on
            inst = self.inst = waiting(inst, first)
            self.arrays = packed_instance(inst)
        objective_of(self.arrays, first, self.timing)
        delta = delta_tables_for(inst, float(self.timing.totals[LAST]))
        self.chain = Chain(inst, self.arrays, first, value, delta, budget.seed)
        self.chains: Chain | SecondChain = self.chain
        self.divisible = bool(may_be_cut(inst).size) and not inst.announced  # what was told is told of these lots
        self.whole = self._if_whole_will_do()
        self.gone_through = ALL_PLANS
        self.broken = False  # whether the best plan breaks a wish
        self.trusted = True  # whether no plan undercuts what a bound said
        self.nothing_left = False  # whether all was gone through, and some of it not closed
        self.recut: tuple[Instance, Solution, float] | None = None
        self.lowest: LowerBound | None = None
        self.aim: AimMet | None = None
        known = beforehand(inst)
        self._know(known if budget.known is None else higher(known, budget.known))
        self._report("first plan", 0.0)

    def _looked_for(self) -> tuple[float, Solution]:
        """Any plan, where no rule finds one. Raises NoPlan, with a proof if there is one; Stopped if asked to stop."""
        self._report_looking()
        total = self.control.seconds_left() if self.budget.rounds is None else None
        rounds = self.budget.rounds
        if rounds is None and total is None:
            rounds = NO_BUDGET_ROUNDS
        looked = any_plan(self.inst, self.arrays, self.timing, self.control, rounds, self.budget.seed)
        if looked.plan is None:
            if not looked.proof and self.control.should_stop():
                raise Stopped("stopped before a first plan was there")
            # another way to share out what several tools make might be carried out
            raise NoPlan("" if self.inst.several else looked.proof, total)
        return looked.value, looked.plan

    def _report_looking(self) -> None:
        self.control.report(Progress("first plan", 0.0))

    def run(self) -> Found:
        total = self.control.seconds_left()
        rounds = self.budget.rounds
        if rounds is None and total is None:
            rounds = NO_BUDGET_ROUNDS
        deadline = Deadline(self.control) if rounds is None else None
        beside: BackgroundBound | None = None
        if rounds is None and self.control.cores() > 1:
            patient = total is not None and total >= PATIENT_FROM
            beside = BackgroundBound(self.inst, self._bound(), BOUND_EFFORT_BESIDE, lambda: self.cost, patient)
        elif self.budget.bound_effort > 0:
            effort = self.budget.bound_effort if rounds is not None else BOUND_SHARE * (total or 0.0)
            spare(BOUND, lambda: self._bound_before(effort), None, self.faults)
        try:
            given_up: tuple[Ended, int] = ("budget used", 0)
            ended, done = spare("the search", lambda: self._anneal(rounds, deadline, beside), given_up, self.faults)
            if beside is not None and self.nothing_left and ended == "budget used":
                ended = spare(BOUND, lambda: self._waited_for(beside), ended, self.faults)
        finally:
            if beside is not None:
                beside.stop()
            if isinstance(self.chains, SecondChain):
                self.chains.end()
        if ended == "budget used" and self._may_meet_aim() and self._gap()[0] <= 0.0:
            ended = "proven"
        inst, best, objective = self._finished(ended)
        self._held_to_bound()
        lowest = self._bound()
        cost = float(self.timing.totals[COST])
        # to the cent, as money is told; `_finished` may have gained what was missing
        met = cost_is_the_aim(inst) and not inst.announced and cost - lowest.total <= A_CENT
        if met and ended == "budget used":
            ended = "proven"
        if ended == "proven" and (self.inst.sharing or self.broken):
            ended = "budget used"  # what others break off a run no proof goes through, nor what wishes ask for
        if ended == "proven" and not self.trusted:
            ended = "budget used"
        proven_cost = ended == "proven" and cost_is_the_aim(self.inst)
        basis = self.gone_through if proven_cost and not met else lowest.basis
        bound = min(lowest.total, cost)
        if proven_cost and not met:
            bound = max(lowest.total, cost - told_apart(inst, cost))
        aim = aim_met(self.inst, self.timing.totals, lowest)
        if aim is not None and ended == "proven" and aim.gap > 0.0:
            aim = replace(aim, bound=aim.value, basis=ALL_PLANS)
        cut = None if inst is self.inst else inst
        return Found(best, objective, cost, done, ended, bound, basis, aim, tuple(self.faults), cut)

    def _finished(self, ended: Ended) -> tuple[Instance, Solution, float]:
        """The best plan with the lots it orders: cut otherwise, and waiting on purpose, where that costs less. The
        timing is left as its own."""
        inst, best = self.inst, self.chain.best
        value = self._timed(best)
        if self.recut is not None and self.recut[2] < value - PRECISION:
            inst, best, value = self.recut
            self.timing = timing_for(inst)
        if not self.control.should_stop() and ended != "proven":
            if self.divisible and best.release is None:
                _, inst = resized(inst, best, self.timing)
            value, best = paused(inst, best, self.timing)
        if best.release is None and inst.lot_release.size:
            best.release = inst.lot_release
        return inst, best, objective_of(packed_instance(waiting(inst, best)), best, self.timing)

    def _all_lots(self) -> bool:
        """Go through all plans of a small campaign with every way to cut its lots; whether these were all."""
        ways = ways_to_cut(self.inst, MOST_WAYS)
        if ways is None:
            return False
        began = sorted(zip(self.inst.lot_run.tolist(), self.inst.lot_shots.tolist(), strict=True))
        for inst in cut_in_all_ways(self.inst, ways):
            as_they_are = sorted(zip(inst.lot_run.tolist(), inst.lot_shots.tolist(), strict=True)) == began
            if as_they_are:
                continue
            found = self._with_lots(inst, MOST_NODES)
            if found is None or not found.proven:
                return False
        return True

    def _where_batches_are_whole(self) -> None:
        """Go through all plans of a small campaign again with lots cut where batches have all their parts."""
        for inst in cuts(self.inst, self.chain.best.order):
            self._with_lots(inst, NODES_A_CUT)

    def _with_lots(self, inst: Instance, nodes: int) -> Exact | None:
        """Go through all plans with these lots; what came of it, None where that was not begun."""
        left = self.control.seconds_left()
        if self.control.should_stop() or (self.budget.rounds is None and left is not None and left < 0.1):
            return None
        if kinds_if_few(inst) is None:
            return None
        begin = Solution.empty(inst)
        begin.order = self.chain.best.order.copy()
        known = self.recut[2] if self.recut is not None else float(self.chain.values[BEST])
        found = exhaust(inst, timing_for(inst), Exact(begin, known, False), self.control, nodes)
        if found.value < known - PRECISION:
            self.recut = inst, found.best, found.value
        return found

    def _anneal(
        self, rounds: int | None, deadline: Deadline | None, beside: BackgroundBound | None
    ) -> tuple[Ended, int]:
        """Slice by slice until something ends it: why, and after how many rounds."""
        inst = self.inst
        load = 4 * inst.lot_run.size + inst.batch_work.size + inst.job_work.size + inst.job_good.size
        steps = max(20, min(STEPS_A_ROUND, WORK_A_SLICE // load))
        slices = -(-STEPS_A_ROUND // steps)
        self.chain.values[DRAWS] = 1.0 + load // LOAD_A_DRAW
        downhill = DOWNHILL * (1.0 + abs(self.chain.values[HERE]))
        improved = self.chain.anneal(FIRST_LOOK, downhill, downhill)
        worse = math.exp(self.chain.values[WORSE_LOGS] / max(1.0, self.chain.values[WORSE]))
        unit = unit_of(worse, inst.restart_s.size)
        budget = deadline or Rounds(NO_BUDGET_ROUNDS if rounds is None else rounds, slices)
        polish = Polish(self._may_meet_aim(), POLISH_ROUNDS * slices)
        stop = AnyOf(*self._reasons(beside, slices), polish, budget)
        starts, decided = 0, False
        done = 0
        at = Place(0, 0, 0.0)
        while not stop(standing := self._standing(done, beside)):
            if polish.began(standing):
                self.chains.choose_among_equals()
                self.chains.cool_again()
                starts, decided, at = 0, True, Place(0, 0, 0.0)
            share, after = polish.share(standing) or budget.share(standing)
            self.chain.values[FLOOR] = inst.aim_cost * self._bound().late
            if not decided and share >= KNOWN_AT:
                starts, decided = starts_of(done / slices / share, inst.restart_s.size), True
            before, at = at, place_of(share, starts)
            if before.start < at.start < starts:
                self.chains.begin_anew()
            elif before[:2] < at[:2]:
                self.chains.cool_again()
            hot, cold = (temperature(one, unit, starts) for one in (share, after))
            improved += self.chains.steps(steps * A_TIMING, hot, cold)
            done += 1
            if improved and done % max(1, slices // 4) == 0:
                self.cost = self._priced()
                self._report("search", after)
                improved = 0
            elif done % (20 * slices) == 0:
                self._report("search", after)
        return stop.ended or "budget used", done // slices

    def _reasons(self, beside: BackgroundBound | None, slices: int) -> list[Criterion]:
        """What ends the search before its budget. slices: of a round."""
        stall = self.budget.stall

        def due(standing: Standing) -> bool:
            # where the last dispatch is the aim, the order found beside is a proof sooner
            awaited = last_is_the_aim(self.inst) and beside is not None and not beside.finished()
            return standing.slices >= PROOF_AFTER * slices and not awaited

        reasons: list[Criterion] = [Asked(self.control), BoundMet(), GapReached(self.budget.gap)]
        countable = kinds_if_few(self.inst) is not None and not self.inst.several
        if (self.whole is not None or countable) and not self.inst.announced:
            reasons.append(GoneThrough(due, self._gone_through))
        return reasons if stall is None else [*reasons, Stalled(stall * slices)]

    def _if_whole_will_do(self) -> Instance | None:
        """The instance with whole demands, where all plans that split none are to be gone through with it and those
        that split one can be bounded."""
        inst = self.inst
        if not self.divisible or not cost_is_the_aim(inst) or inst.lot_release.any() or not apart_only_in_time(inst):
            return None
        if ways_to_cut(inst, MOST_WAYS) is not None:  # all of them can be gone through, and pauses with them
            return None
        whole = whole_demands(inst)
        return whole if kinds_if_few(whole) is not None else None

    def _never_split(self) -> bool:
        """Whether no plan that splits no demand is cheaper than what is then the best, nor any that splits one. Of both
        cases the lesser bound is one of all plans, also where it proves nothing."""
        assert self.whole is not None
        least = least_when_split(paid_anyway(self.inst), SPLIT_EFFORT, cp_model.CpSolver())
        if least < self.cost * (1.0 - HOPELESS):
            return False
        whole = self._with_lots(self.whole, self._most_nodes())
        if whole is None:
            return False
        total = min(least, self._without_ties(whole.bound))
        if total > self._bound().total:
            self._know(replace(self._bound(), total=total, basis=WHOLE_PLANS))
        best = self.cost if self.recut is None else min(self.cost, self.recut[2])
        return whole.proven and least >= best - told_apart(self.inst, best)

    def _without_ties(self, bound: float) -> float:
        """A bound of the objective, where money is the aim, as one of money: what breaks ties is none."""
        return bound - self.inst.aim_mean * float(self.inst.pickup_t.max(initial=0)) / DAY_S

    def _most_nodes(self) -> int:
        rounds = self.budget.rounds
        return MOST_NODES if rounds is None else min(MOST_NODES, NODES_A_ROUND * rounds)

    def _gone_through(self) -> Ended | None:
        """Go through all plans of a small campaign, then through those with other lots; what that ends the search
        with."""
        if self.whole is not None and spare(PROOF, self._never_split, False, self.faults):
            self.gone_through = WHOLE_PLANS
            return "proven"
        if kinds_if_few(self.inst) is None or not spare(PROOF, self._exhausted, False, self.faults):
            return None
        if not self.divisible or spare(PROOF, self._all_lots, False, self.faults):
            return "proven"
        spare(PROOF, self._where_batches_are_whole, None, self.faults)
        self.nothing_left = True
        return "budget used"  # nothing better is looked for any more, and nothing is proven

    def _standing(self, done: int, beside: BackgroundBound | None) -> Standing:
        """Where the search stands, with what the bound beside it has brought meanwhile."""
        if beside is not None and (better := spare(BOUND, beside.arrived, None, self.faults)) is not None:
            self._take(better)
        elif beside is not None and beside.finished() and self.chains is self.chain:
            self.chains = SecondChain(self.inst, self.chain, self.budget.seed)
        return Standing(done, float(self.chain.values[BEST]), *self._gap())

    def _bound_before(self, effort: float) -> None:
        """Work the bound out while nothing else is done, still listening for a stop."""
        before = BackgroundBound(self.inst, self._bound(), min(effort, self.budget.bound_effort), lambda: self.cost)
        if (better := before.awaited(self.control.should_stop)) is not None:
            self._take(better)

    def _waited_for(self, beside: BackgroundBound) -> Ended:
        """What a search that has gone through everything ends with once the bound beside it is there, or time is over:
        nothing better is looked for any more, but that bound may still prove what was found."""

        def over() -> bool:
            left = self.control.seconds_left()
            return self.control.should_stop() or (left is not None and left <= 0.0)

        if (better := beside.awaited(over)) is not None:
            self._take(better)
        if self.recut is not None:
            self.cost = min(self.cost, self.recut[2])
        standing = self._standing(0, None)
        asked = Asked(self.control)(standing)
        return BoundMet()(standing) or GapReached(self.budget.gap)(standing) or asked or "budget used"

    def _exhausted(self) -> bool:
        """Go through all plans of a small campaign."""
        self._report("proof", 0.0)
        known = Exact(self.chain.best.copy(), float(self.chain.values[BEST]), False)
        nodes, leaves = self._most_nodes(), math.inf
        if self._may_meet_aim() and self._gap()[0] <= 0.0:
            nodes, leaves = min(nodes, NODES_OF_EQUALS), LEAVES_OF_EQUALS
        exact = exhaust(self.inst, self.timing, known, self.control, nodes, leaves=leaves)
        self._adopt(exact.best, exact.value)
        total = self._without_ties(exact.bound)
        if not exact.proven and not self.divisible and cost_is_the_aim(self.inst) and total > self._bound().total:
            basis = f"{ALL_PLANS}; batches late at least as what one pick-up can take makes them"
            self._know(replace(self._bound(), total=total, basis=basis))
        return exact.proven

    def _gap(self) -> tuple[float, bool]:
        """Gap to the bound, as a share, and whether it is met. Where another aim is, money mostly still decides between
        equals: those are looked at for a while first (`Polish`)."""
        # no bound counts what it costs to go back on one's word; where a wish is broken none is enough
        if self.inst.announced or self.broken:
            return math.inf, False
        if not cost_is_the_aim(self.inst):
            gap = math.inf if self.aim is None else self.aim.gap
            return gap, last_is_all(self.inst) and gap <= 0.0
        self.cost = min(self.cost, float(self.chain.values[BEST]))
        if dearer(self._bound().total, self.cost):
            self.cost = self._priced()
        bound = self._bound().total
        met = self.cost - bound <= told_apart(self.inst, self.cost)
        return avoidable_gap(self.cost, bound, self.inst.fixed_cost), met

    def _may_meet_aim(self) -> bool:
        """Whether a plan that meets the bound of its aim is proven, beside others that have as little of it."""
        return self.inst.aim_cost < 1.0 and not last_is_all(self.inst) and not self.inst.sharing

    def _bound(self) -> LowerBound:
        assert self.lowest is not None
        return self.lowest

    def _know(self, lowest: LowerBound) -> None:
        if self.trusted:
            self.lowest = lowest
        self.cost = self._priced()

    def _take(self, better: Better) -> None:
        """A better bound, and the order of runs it rests on as one more plan to go on from."""
        lowest, sequences = better
        self._know(higher(lowest, self._bound()))
        if sequences is None:
            return
        solution = Solution.empty(self.inst)
        for p, lots in enumerate(sequences):
            for j in lots:
                solution.append(p, j)
        solution.order = self.chain.best.order.copy()
        if allowed(self.inst, solution):
            self._adopt(solution, objective_of(self.arrays, solution, self.timing))

    def _adopt(self, solution: Solution, value: float) -> None:
        """Go on from a plan if it is the best so far."""
        self.chain.adopt(solution, value)
        self.cost = self._priced()

    def _priced(self) -> float:
        """Money the best plan costs."""
        self._timed(self.chain.best)
        self._held_to_bound()
        self.aim = None if self.lowest is None else aim_met(self.inst, self.timing.totals, self.lowest)
        self.broken = bool(self.timing.totals[BROKEN] > 0.0)
        return float(self.timing.totals[COST])

    def _held_to_bound(self) -> None:
        """Let the bound go that the plan just timed undercuts; then nothing is proven any more. One that breaks a wish
        is not what bounds are about."""
        totals = self.timing.totals
        if self.lowest is None or totals[BROKEN] > 0.0:
            return
        if wrong := undercut(self.inst, totals, self.lowest):
            self.lowest = let_go(wrong, self.inst, totals, self.faults)
            self.trusted = False

    def _timed(self, solution: Solution) -> float:
        """The objective of a plan, its lots waiting as it has them wait; the timing is then its own."""
        arrays = self.arrays if solution.release is None else packed_instance(waiting(self.inst, solution))
        return objective_of(arrays, solution, self.timing)

    def _report(self, phase: str, share: float) -> None:
        bound = None if self.lowest is None else min(self.lowest.total, self.cost)
        gap = None if bound is None else avoidable_gap(self.cost, bound, self.inst.fixed_cost)
        gap = gap if self.aim is None else self.aim.gap
        self.control.report(Progress(phase, min(1.0, share), self.cost, bound, gap))
