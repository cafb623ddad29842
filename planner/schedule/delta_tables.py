"""What an estimate at a move needs, laid out before the chain: presses' working time, kin of lots, promises of batches.

Static figures are worked out here once a search; `delta.look` fills the rest for the plan the chain stands on.
"""

from typing import NamedTuple

import numpy as np

from planner.schedule.instance import Floats, Instance, Ints
from planner.schedule.neighbours import cheapest_before
from planner.schedule.packed import pack

BREAKPOINTS = 8
"""Breakpoints kept of the function that says what it costs to have a lot later or earlier."""

NODES = 2048
"""Points at which a press's working time is turned into wall-clock time; straight lines between them."""

TIE = 1e-5
"""A weight of the mean dispatch up to this only breaks ties: an estimate leaves it out."""

LOT_INTS = 11
(
    AT_PRESS, AT_PLACE, BEHIND, BEFORE_MELT, BEFORE_MELT_2, AFTER_MELT, AFTER_MELT_2, ENDED, LATER_N, EARLIER_N, GRID,
) = range(LOT_INTS)  # fmt: skip
"""Of a lot where the chain stands: its press and place, the lot before it (-1: none, UNPLACED: nothing is noted yet),
what the barrels hold before and after it, when it ends, how many breakpoints there are of being later and of being
earlier, and whether they lie on the fixed grid."""

UNPLACED = -2

LOT_FLOATS = 13 + 4 * BREAKPOINTS
X_END, WALL_END, SPENT, OWN, CHANGE_S, RELEASE, RELEASE_X, STRETCH, REST, LAST_SLACK, EARLIER, GAIN, WAITED = range(13)
LATER_AT, LATER, EARLIER_AT, LESS = (13 + n * BREAKPOINTS for n in range(4))
"""Of a lot: its end in working time and on the wall; objective on its press up to it, and of its own; seconds of its
changeover; the moment it could not begin before, on the wall and in working time; working seconds from when it could
begin to its end, and how many of them set-up and shots do not explain; seconds it may be later before the last dispatch
is; objective a second earlier; the most that can be gained by having it earlier; the moment it waited for, where not
for its press, 0: for none, to which RELEASE_X belongs; then the breakpoints: seconds later
and objective a second from there on, seconds earlier and objective a second no longer gained from there on."""

PRESS_FLOATS = 4
STEP, RATE, TOTAL, GAINS = range(PRESS_FLOATS)
"""Of a press: seconds between nodes, objective a working second; of all its lots together, objective and the most that
can be gained by having them earlier."""

BATCH_FLOATS = 3
DUE_T, LATE_S, MEAN_S = range(BATCH_FLOATS)
"""Of a batch: when it must be packed to leave in time; objective a second late; objective a second of its dispatch."""


class DeltaTables(NamedTuple):
    """J lots, P presses, B batches, T tools, M melts, R run demands."""

    lots: Ints  # (J, LOT_INTS)
    marks: Floats  # (J, LOT_FLOATS)
    presses: Floats  # (P, PRESS_FLOATS)
    axis: Floats  # (P, NODES) moment on the wall at each node of working time
    work: Floats  # (P, J) seconds to mould each lot
    paid: Floats  # (P, J) objective of that
    start: Floats  # (R) objective of the start-up shots of a changeover
    waste: Floats  # (M) objective of a kg of purge
    kin: Ints  # lots by tool, then by first melt: pointers (T + 1, M + 1), then the lots of each
    near: Ints  # (J, up to NEAR) lots behind which each lot's changeover is cheapest
    asks: Ints  # (R) batches that ask for parts of each run demand
    wants: Ints  # lots that each batch may need parts of: pointers (B + 1), then the lots
    batches: Floats  # (B, BATCH_FLOATS)
    late: Ints  # (2 B + 1) how many batches are late, which, and the lot each batch waits for
    ends: Floats  # (J) room: where lots of a press would end, in working time
    asking: Ints  # (J) room: the batch that last asked for each lot
    asked: Floats  # (J) room: when it needs it
    grid: Floats  # (BREAKPOINTS) where breakpoints lie that share a grid


def delta_tables_for(inst: Instance, last: float) -> DeltaTables:
    """Lay the static part out. last: seconds after which the first plan has sent everything."""
    presses, lots, batches = inst.restart_s.size, inst.lot_run.size, inst.batch_work.size
    run = inst.lot_run
    axis = np.zeros((presses, NODES))
    marks = np.zeros((presses, PRESS_FLOATS))
    for p in range(presses):
        axis[p], marks[p, STEP], share = _working_time(inst, p, 3.0 * max(last, 1.0))
        marks[p, RATE] = inst.aim_cost * inst.press_cost_s[p] * share
    melt = inst.run_melt.clip(min=0)
    work = np.ascontiguousarray(np.ceil(inst.lot_shots * inst.shot_num[:, run] / inst.shot_den[:, run]))
    paid = work * marks[:, RATE, None]
    if inst.tended:
        paid += work * inst.aim_cost * inst.tending_cost_s[:, run]
    waste = inst.aim_cost * inst.waste_cost_kg + inst.aim_waste
    start = (inst.startup_shots[:, None] * inst.shot_kg * waste[melt] * (inst.run_melt >= 0)).sum(axis=1)
    tools, melts = inst.run_tool[run], inst.run_melt[run, 0]
    kin = [_grouped(tools, inst.mount_s.size), _grouped(melts, inst.melt_resin.size)]
    asked = [set[int]() for _ in range(inst.run_tool.size)]
    for b in range(batches):
        for i in range(inst.job_need_ptr[inst.job_ptr[b]], inst.job_need_ptr[inst.job_ptr[b + 1]]):
            for demand in _makers(inst, int(inst.job_good[i])):
                asked[demand].add(b)
    return pack(
        DeltaTables(
            lots=_unplaced(lots),
            marks=np.zeros((lots, LOT_FLOATS)),
            presses=marks,
            axis=axis,
            work=work,
            paid=paid,
            start=start,
            waste=waste,
            kin=np.concatenate([kin[0][0], kin[1][0], kin[0][1], kin[1][1]]).astype(np.int64),
            near=cheapest_before(inst, marks[:, RATE], waste),
            asks=np.array([len(s) for s in asked], dtype=np.int64),
            wants=_wants(inst, asked),
            batches=_promises(inst),
            late=np.zeros(2 * batches + 1, dtype=np.int64),
            ends=np.zeros(lots),
            asking=np.zeros(lots, dtype=np.int64),
            asked=np.zeros(lots),
            grid=np.zeros(BREAKPOINTS),
        )
    )


def delta_tables_beside(delta: DeltaTables) -> DeltaTables:
    """The same static part with room of its own, for a second chain."""
    own = delta._replace(
        lots=_unplaced(delta.ends.size), marks=np.zeros_like(delta.marks), presses=delta.presses.copy(),
        late=np.zeros_like(delta.late), ends=np.zeros_like(delta.ends), asking=np.zeros_like(delta.asking),
        asked=np.zeros_like(delta.asked), grid=np.zeros_like(delta.grid),
    )  # fmt: skip
    return pack(own)


def no_delta_tables() -> DeltaTables:
    """Arrays of the right kinds, for a chain that looks at nothing."""
    ints, floats = np.zeros((1, 1), dtype=np.int64), np.zeros((1, 1))
    one, real = ints[0], floats[0]
    places = DeltaTables(
        ints,
        floats,
        floats,
        floats,
        floats,
        floats,
        real,
        real,
        one,
        ints,
        one,
        one,
        floats,
        one,
        real,
        one,
        real,
        real,
    )
    return pack(places)


def _unplaced(lots: int) -> Ints:
    """(J, LOT_INTS), nothing noted of any lot."""
    table = np.zeros((lots, LOT_INTS), dtype=np.int64)
    table[:, BEHIND] = UNPLACED
    return table


def order_matters(inst: Instance) -> bool:
    """Whether it can make a difference which batch is served first: where they share parts, benches or pick-ups."""
    several = np.bincount(inst.job_good, minlength=1).max(initial=0) > 1 or inst.batch_good.size > 0
    several = several or inst.sent_out > 0 or inst.finishing > 0 or inst.leaving > 0
    return bool(
        several or inst.job_work.any() or inst.batch_work.any() or inst.pickup_parcels < inst.batch_parcels.sum()
    )


def _working_time(inst: Instance, p: int, until: float) -> tuple[Floats, float, float]:
    """The press's nodes, seconds between them, and wall money seconds a working second (warm-ups shared out)."""
    a, b = inst.open_ptr[p], inst.open_ptr[p + 1]
    starts, ends = inst.open_start[a:b].astype(np.float64), inst.open_end[a:b].astype(np.float64)
    lost = float(inst.restart_s[p]) + (float(inst.startup_s[p, inst.fits[p]].mean()) if inst.fits[p].any() else 0.0)
    usable = ends - starts - lost
    fine = (usable > 0) & (starts < until)
    if not fine.any():
        never: Floats = np.linspace(1e12, 2e12, NODES, dtype=np.float64)
        return never, 1.0, 1.0
    starts, ends, usable = starts[fine], ends[fine], usable[fine]
    x_ends = np.cumsum(usable)
    x = np.stack([x_ends - usable, x_ends], axis=1).ravel()
    wall = np.stack([ends - usable, ends], axis=1).ravel()
    step = float(x_ends[-1]) / (NODES - 1)
    nodes: Floats = np.interp(np.arange(NODES) * step, x, wall).astype(np.float64)
    return nodes, step, float((usable + lost).sum() / usable.sum())


def _grouped(of: Ints, number: int) -> tuple[Ints, Ints]:
    """Pointers and members of each group."""
    counts = np.bincount(of.clip(min=0), minlength=number)
    return np.concatenate(([0], np.cumsum(counts))), np.argsort(of.clip(min=0), kind="stable")


def _makers(inst: Instance, good: int) -> list[int]:
    """Run demands that make a good: of several tools all, since a batch may wait for a lot of any of them."""
    if inst.several and inst.first_source[good] < inst.last_source[good]:
        return [int(run) for run in inst.good_run[inst.first_source[good] : inst.last_source[good]]]
    run = int(inst.good_run[good])
    return [run] if run >= 0 else []


def _wants(inst: Instance, asked: list[set[int]]) -> Ints:
    """See `DeltaTables.wants`. asked: batches of each run demand."""
    pairs = sorted((b, lot) for lot, run in enumerate(inst.lot_run) for b in asked[run])
    ends = np.cumsum(np.bincount([b for b, _ in pairs], minlength=inst.batch_work.size))
    return np.concatenate([[0], ends, [lot for _, lot in pairs]]).astype(np.int64)


def _promises(inst: Instance) -> Floats:
    """(B, BATCH_FLOATS), see above."""
    table = np.zeros((inst.batch_work.size, BATCH_FLOATS))
    days, moments = inst.pickup_day.astype(np.float64), inst.pickup_t.astype(np.float64)
    if days.size > 1 and moments[-1] > moments[0]:
        day_s = (days[-1] - days[0]) / (moments[-1] - moments[0])
        last_in_time = np.searchsorted(inst.pickup_day, inst.batch_due, side="right") - 1
        before = moments[0] - (days[0] - inst.batch_due) / day_s
        table[:, DUE_T] = np.where(last_in_time >= 0, moments[last_in_time.clip(min=0)], before)
        table[:, LATE_S] = inst.aim_cost * inst.batch_late_cost * day_s
    if inst.batch_weight.sum() > 0 and inst.aim_mean > TIE:
        table[:, MEAN_S] = inst.aim_mean * inst.batch_weight / inst.batch_weight.sum() / 86400
    return table
