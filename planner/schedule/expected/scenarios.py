"""Scenarios as the compiled part takes them, and one of them written into an instance of its own.

A scenario is one draw of everything that is not sure. Here it is arrays by index; what they are drawn from is
`planner/promise/scenarios.py`.
"""

from typing import Any, NamedTuple

import numpy as np

from planner.schedule.instance import Bools, Floats, Instance, Ints, packed_instance
from planner.schedule.jit import inner
from planner.schedule.packed import pack

FINENESS = 1000
"""Shot times in a scenario are rounded to this share of the plan's own unit."""

NO_ROWS, NO_ROWS_F = np.zeros((0, 1), dtype=np.int64), np.zeros((0, 1))
NOTHING, NOTHING_F = np.zeros(0, dtype=np.int64), np.zeros(0)


class Looks(NamedTuple):
    """Fields of `Instance` by look (L), as colours may have another recipe in some scenarios than planned."""

    purge_s: Ints
    purge_kg: Floats
    hot_s: Ints
    hot_kg: Floats
    waste_cost_kg: Floats
    melt_master_share: Floats
    material_price: Floats
    compound_kg: Floats
    compound_rinse_kg: Floats
    compound_s: Ints
    compound_only: Bools
    hot_compound_kg: Floats
    hot_rinse_kg: Floats
    hot_compound_s: Ints
    hot_only: Bools
    melt_like: Ints


def _no_looks() -> Looks:
    kg, s, line = np.zeros((0, 0, 0, 0, 0)), np.zeros((0, 0, 0, 0, 0), dtype=np.int64), np.zeros((0, 0))
    only = kg.astype(np.bool_)
    return pack(Looks(s, kg, s, kg, line, line, line, kg, kg, s, only, kg, kg, s, only, NO_ROWS))


NO_LOOKS = _no_looks()


class Scenarios(NamedTuple):
    """K scenarios; what does not vary has no rows. Sizes as in `Instance`."""

    number: int
    ready: Ints = NO_ROWS  # (K, T) s when each tool is ready
    cycle: Floats = NO_ROWS_F  # (K, R) real cycle over planned
    press: Floats = NO_ROWS_F  # (K, P) real efficiency over planned, breakdowns taken off
    counting: Ints = NO_ROWS  # (K, G) shots until a moulded item has enough good parts
    run_shots: Ints = NO_ROWS  # (K, R)
    supply_s: Ints = NO_ROWS  # (K, materials) s by which deliveries of a material come later
    piece_s: Ints = NO_ROWS  # (K, G)
    mount: Floats = NO_ROWS_F  # (K, T) real time over planned
    purge: Floats = NO_ROWS_F  # (K, P)
    assembly: Floats = NOTHING_F  # (K)
    packing: Floats = NOTHING_F  # (K)
    carrier: Ints = NOTHING  # (K) days by which pick-ups come late
    extra_cost: Floats = (
        NOTHING_F  # (K) money that comes on top whatever the order of work: melt of extra shots, labour
    )
    look: Ints = NOTHING  # (K) how colours are there: -1 as planned, else number of a look
    looks: Looks = NO_LOOKS

    def some(self, first: int, last: int) -> "Scenarios":
        """Those from `first` up to, not including, `last`."""
        return self.rows(np.arange(first, last))

    def rows(self, own: Ints) -> "Scenarios":
        """Those of these numbers."""
        parts: dict[str, Any] = self._asdict()
        taken = {name: part[own] if len(part) else part for name, part in parts.items() if name not in WHOLE}
        return Scenarios(own.size, **taken, looks=self.looks)

    def by_look(self) -> list[tuple[int, Ints]]:
        """Each look there is and the numbers of its scenarios."""
        if not self.look.size:
            return [(-1, np.arange(self.number))]
        return [(look, np.flatnonzero(self.look == look)) for look in np.unique(self.look).tolist()]


WHOLE = ("number", "looks")
"""What scenarios have that is not one by one."""


def in_look(inst: Instance, scenarios: Scenarios, look: int) -> Instance:
    """The instance with colours as they are in a look."""
    if look < 0:
        return inst
    return inst._replace(**{name: getattr(scenarios.looks, name)[look].copy() for name in Looks._fields})


def own_instance(
    inst: Instance, scenarios: Scenarios, likely_begin: Ints = NOTHING, waits: bool = False, wish_cost: float = 0.0
) -> Instance:
    """The campaign with copies of the arrays that scenarios are written into, as compiled code takes it.

    likely_begin (J): where presses take the next run that is ready, an array to be filled with when each lot begins as
    planned; empty: the order is kept. waits: whether lots taken out of turn are to wait for the moment at which that is
    decided. wish_cost: what a wish that is not kept weighs; it is no money.
    """

    def own(array: Ints) -> Ints:
        return np.array(array, dtype=np.int64, order="C")

    rated = bool(scenarios.cycle.shape[0])
    return packed_instance(
        inst._replace(
            tool_ready=own(inst.tool_ready), good_count_shots=own(inst.good_count_shots),
            lot_shots=own(inst.lot_shots), shot_num=own(inst.shot_num), startup_s=own(inst.startup_s),
            shot_den=own(inst.shot_den * FINENESS if rated else inst.shot_den),
            supply_t=own(inst.supply_t), piece_t=own(inst.piece_t), mount_s=own(inst.mount_s),
            insert_s=own(inst.insert_s), wish_cost=wish_cost,
            purge_s=own(inst.purge_s), hot_s=own(inst.hot_s), compound_s=own(inst.compound_s),
            hot_compound_s=own(inst.hot_compound_s), job_work=own(inst.job_work), batch_work=own(inst.batch_work),
            pickup_day=own(inst.pickup_day),
            likely_begin=likely_begin, pinned=own(inst.pinned),
            lot_release=own(_released(inst)) if waits else inst.lot_release,
        )
    )  # fmt: skip


def _released(inst: Instance) -> Ints:
    return inst.lot_release if inst.lot_release.size else np.zeros(inst.lot_run.size, dtype=np.int64)


def packed_scenarios(scenarios: Scenarios) -> Scenarios:
    """As compiled code takes them."""
    return pack(scenarios)


@inner
def write_scenario(inst: Instance, own: Instance, scenarios: Scenarios, k: int, last_lot: Ints) -> None:
    """Write scenario k into `own`. last_lot (R): the lot of each run demand onto which extra shots go."""
    presses, runs = inst.shot_num.shape
    for lot in range(own.lot_release.size):
        own.lot_release[lot] = inst.lot_release[lot] if inst.lot_release.size > 0 else 0
    if scenarios.ready.shape[0] > 0:
        for tool in range(own.tool_ready.size):
            own.tool_ready[tool] = scenarios.ready[k, tool]
    if scenarios.cycle.shape[0] > 0:
        for p in range(presses):
            for run in range(runs):
                rate = scenarios.cycle[k, run] / scenarios.press[k, p]
                num = np.rint(float(inst.shot_num[p, run]) * FINENESS * rate)
                own.shot_num[p, run] = int(num)
                own.startup_s[p, run] = int(np.ceil(num * inst.startup_shots[run] / own.shot_den[p, run]))
    if scenarios.run_shots.shape[0] > 0:
        for good in range(own.good_count_shots.size):
            own.good_count_shots[good] = scenarios.counting[k, good]
        for lot in range(own.lot_shots.size):
            own.lot_shots[lot] = inst.lot_shots[lot]
        for run in range(runs):
            own.lot_shots[last_lot[run]] += scenarios.run_shots[k, run] - inst.run_shots[run]
    # the first step of each supply is what is in hand: it does not move
    if scenarios.supply_s.shape[0] > 0:
        for m in range(inst.supply_ptr.size - 1):
            for step in range(inst.supply_ptr[m] + 1, inst.supply_ptr[m + 1]):
                own.supply_t[step] = max(0, inst.supply_t[step] + scenarios.supply_s[k, m])
    if scenarios.piece_s.shape[0] > 0:
        for good in range(inst.piece_ptr.size - 1):
            for step in range(inst.piece_ptr[good] + 1, inst.piece_ptr[good + 1]):
                own.piece_t[step] = max(0, inst.piece_t[step] + scenarios.piece_s[k, good])
    if scenarios.mount.shape[0] > 0:
        for tool in range(own.mount_s.size):
            own.mount_s[tool] = int(np.rint(inst.mount_s[tool] * scenarios.mount[k, tool]))
            own.insert_s[tool] = int(np.rint(inst.insert_s[tool] * scenarios.mount[k, tool]))
    if scenarios.purge.shape[0] > 0:
        for p in range(presses):
            share = scenarios.purge[k, p]
            _times(own.purge_s, inst.purge_s, p, share)
            _times(own.hot_s, inst.hot_s, p, share)
            _times(own.compound_s, inst.compound_s, p, share)
            _times(own.hot_compound_s, inst.hot_compound_s, p, share)
    if scenarios.assembly.size > 0:
        for job in range(own.job_work.size):
            own.job_work[job] = int(np.ceil(inst.job_work[job] * scenarios.assembly[k]))
    if scenarios.packing.size > 0:
        for batch in range(own.batch_work.size):
            own.batch_work[batch] = int(np.ceil(inst.batch_work[batch] * scenarios.packing[k]))
    if scenarios.carrier.size > 0:
        for n in range(own.pickup_day.size):
            own.pickup_day[n] = inst.pickup_day[n] + scenarios.carrier[k]


@inner
def _times(own: Ints, planned: Ints, p: int, share: float) -> None:
    """Seconds of press p by a share of what is planned; no seconds stay none."""
    if planned.shape[0] <= p:
        return
    for b in range(planned.shape[1]):
        for run in range(planned.shape[2]):
            for melt in range(planned.shape[3]):
                seconds = planned[p, b, run, melt]
                if seconds > 0:
                    own[p, b, run, melt] = int(np.rint(seconds * share))
