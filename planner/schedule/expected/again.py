"""Planning again inside a scenario: whenever a press's next tool is late, what is cheapest by what is known then.

The press may wait, take one of its own next runs whose tool is there, or take over one that another press has not
begun. Each is timed to the end in a world as it is believed to be at that moment (`believed.py`), presses taking what
is ready from then on: a rollout of one step (Bertsekas, Tsitsiklis, Wu, Journal of Heuristics 3 1997, from memory). The
cheapest is done, waiting where no other is cheaper.
"""

from typing import NamedTuple

import numpy as np

from planner.schedule import timing as w
from planner.schedule.bench_decoder import run_benches
from planner.schedule.evaluate import objective, press_objective
from planner.schedule.expected.believed import Believed, believe, believed_for
from planner.schedule.expected.planned import Planned, hand_out
from planner.schedule.expected.scenarios import Scenarios
from planner.schedule.instance import NEVER, Instance, Ints
from planner.schedule.jit import inner
from planner.schedule.packed import pack
from planner.schedule.press_decoder import run_presses
from planner.schedule.sequences import Sequences, copy_presses
from planner.schedule.timing import Timing, timing_for

MOST_DECISIONS = 8
"""Times that presses choose in one scenario; then they take what is ready."""

OWN_LOTS = 4
"""Of a press's own lots whose tools are there, the first so many are looked at; of each other press's, one."""

CHEAPER = 1e-6
"""By so much of the objective another choice must be better than waiting, and than one looked at before it."""


class Again(NamedTuple):
    """Room to plan again in."""

    believed: Believed
    timing: Timing  # in the believed world
    trial: Sequences
    options: Ints  # (OWN_LOTS + P, 2) press and place of each lot that may be taken


def again_for(inst: Instance, scenarios: Scenarios) -> Again:
    """Room for it."""
    presses, lots = inst.restart_s.size, inst.lot_run.size
    seq, length = np.zeros((presses, lots), dtype=np.int64), np.zeros(presses, dtype=np.int64)
    trial = pack(Sequences(seq, length, np.zeros(inst.batch_work.size, dtype=np.int64)))
    options = np.zeros((OWN_LOTS + presses, 2), dtype=np.int64)
    return pack(Again(believed_for(inst, scenarios), timing_for(inst), trial, options))


@inner
def run_again(
    inst: Instance, own: Instance, scenarios: Scenarios, timing: Timing, planned: Planned, again: Again
) -> bool:  # fmt: skip
    """Time the presses of a scenario, planning again wherever a tool is late; planned.now is left as it was worked.
    False if it cannot be carried out."""
    now, believed = planned.now, again.believed
    clock = at = -1
    _keep_order(inst, own)
    for _ in range(MOST_DECISIONS):
        if not run_presses(own, now, timing):
            return False
        _spans(timing, believed)
        options = 0
        p = place = -1
        while options == 0:
            clock, p, place = _next_decision(own, planned, believed, clock, at)
            if p < 0:
                return True
            at = p
            options = _options(own, now, again, (clock, p, place))
        believe(inst, own, scenarios, believed, timing, clock)
        _from_here(own, planned, believed, (clock, p, place))
        best, chosen = np.inf, -1
        for n in range(-1, options):  # first to wait
            copy_presses(again.trial, now)
            if n >= 0:
                _take(again.trial, again.options[n], p, place)
            lot = again.trial.seq[p, place]
            for other in range(own.lot_release.size):
                believed.world.lot_release[other] = own.lot_release[other]
            believed.world.lot_release[lot] = max(own.lot_release[lot], clock)
            value = _value(again, planned)
            if value < best - CHEAPER:
                best, chosen = value, n
        if chosen >= 0:
            _take(now, again.options[chosen], p, place)
            lot = now.seq[p, place]
            own.lot_release[lot] = max(own.lot_release[lot], clock)
    # from here on presses take what is ready
    for p in range(now.length.size):
        own.pinned[p] = _begun(own, believed, now, p, clock)
    for lot in range(own.likely_begin.size):
        own.likely_begin[lot] = max(planned.begin[lot], clock)
    done = run_presses(own, now, timing)
    _keep_order(inst, own)
    return bool(done)


@inner
def _keep_order(inst: Instance, own: Instance) -> None:
    """Let presses keep their order: no moment comes at which a run should have begun."""
    for p in range(own.pinned.size):
        own.pinned[p] = inst.pinned[p]
    for lot in range(own.likely_begin.size):
        own.likely_begin[lot] = NEVER


@inner
def _begun(own: Instance, believed: Believed, now: Sequences, p: int, clock: int) -> int:
    """How many lots of a press have begun by then, or are fixed by the maker."""
    fixed = own.pinned[p]
    while fixed < now.length[p] and believed.begin[now.seq[p, fixed]] <= clock:
        fixed += 1
    return int(fixed)


@inner
def _spans(timing: Timing, believed: Believed) -> None:
    """When each lot begins, its changeover included, and when its press is free again."""
    lots = timing.lots
    for lot in range(believed.begin.size):
        opened = timing.pieces[lots[lot, w.FIRST_PIECE], w.OPENED]
        believed.begin[lot] = min(lots[lot, w.CO_START], opened)
        believed.end[lot] = lots[lot, w.END]


@inner
def _next_decision(own: Instance, planned: Planned, believed: Believed, clock: int, at: int) -> tuple[int, int, int]:
    """The next moment, later than (clock, press at), at which a press waits for a tool that is late, and the press and
    the place in its order; press -1: there is none.

    A press chooses when the run should have begun or the press is free, if later, and again whenever a tool comes while
    it waits.
    """
    now, ready = planned.now, own.tool_ready
    soonest, press, place = NEVER, -1, -1
    for p in range(now.length.size):
        for n in range(own.pinned[p], now.length[p]):
            lot = now.seq[p, n]
            comes = ready[own.run_tool[own.lot_run[lot]]]
            free = believed.end[now.seq[p, n - 1]] if n > 0 else 0
            first = max(free, planned.begin[lot], own.lot_release[lot])
            if comes <= first:
                continue
            moment = first if first > clock or (first == clock and p > at) else NEVER
            if moment == NEVER:
                for tool in range(ready.size):
                    if max(first, clock) < ready[tool] < min(comes, moment):
                        moment = ready[tool]
            if moment == NEVER:
                continue
            if moment < soonest:
                soonest, press, place = moment, p, n
            break
    return soonest, press, place


@inner
def _options(own: Instance, now: Sequences, again: Again, when: tuple[int, int, int]) -> int:
    """Write down the lots that a press may take at a moment; how many there are."""
    clock, p, place = when
    found = 0
    for n in range(place + 1, now.length[p]):
        if found < OWN_LOTS and own.tool_ready[own.run_tool[own.lot_run[now.seq[p, n]]]] <= clock:
            again.options[found, 0], again.options[found, 1] = p, n
            found += 1
    for q in range(now.length.size):
        if q == p:
            continue
        for n in range(own.pinned[q], now.length[q]):
            lot = now.seq[q, n]
            run = own.lot_run[lot]
            there = again.believed.begin[lot] > clock and own.tool_ready[own.run_tool[run]] <= clock
            if there and own.fits[p, run] and _meets_none(own, now, p, run):
                again.options[found, 0], again.options[found, 1] = q, n
                found += 1
                break
    return found


@inner
def _meets_none(own: Instance, now: Sequences, p: int, run: int) -> bool:
    """Whether a run brings press p no resin that must never meet one of its own (A6)."""
    meets = False
    for n in range(now.length[p]):
        meets = meets or own.clash[run, own.lot_run[now.seq[p, n]]]
    return not meets


@inner
def _take(order: Sequences, option: Ints, p: int, place: int) -> None:
    """Let press p take a lot at that place of its order."""
    q, m = option[0], option[1]
    lot = order.seq[q, m]
    for n in range(m, order.length[q] - 1):
        order.seq[q, n] = order.seq[q, n + 1]
    order.length[q] -= 1
    for n in range(order.length[p], place, -1):
        order.seq[p, n] = order.seq[p, n - 1]
    order.seq[p, place] = lot
    order.length[p] += 1


@inner
def _from_here(own: Instance, planned: Planned, believed: Believed, when: tuple[int, int, int]) -> None:
    """What is begun keeps its place, as does what the press that chooses does next; from then on presses take what is
    ready."""
    clock, press, place = when
    world, now = believed.world, planned.now
    for p in range(now.length.size):
        fixed = _begun(own, believed, now, p, clock)
        world.pinned[p] = max(fixed, place + 1) if p == press else fixed
    for lot in range(world.likely_begin.size):
        world.likely_begin[lot] = max(planned.begin[lot], clock)


@inner
def _value(again: Again, planned: Planned) -> float:
    """The objective of the trial in the believed world, batches served as planned; inf where it cannot be."""
    world, timing = again.believed.world, again.timing
    if not run_presses(world, again.trial, timing):
        return np.inf
    press_objective(world, timing.totals)
    hand_out(world, timing, planned.now.order)
    if not run_benches(world, timing):
        return np.inf
    return float(objective(world, timing.totals))
