"""What could have held up the start of each lot, each with the moment until which it did."""

from typing import NamedTuple

import numpy as np

from planner.plan.kept_back import OVER, kept_back_by
from planner.schedule import timing as w
from planner.schedule.instance import NEVER, Floats, Instance
from planner.schedule.lot_begins import lot_begin
from planner.schedule.timing import Timing

MATERIAL_KG = 1e-9
"""As close to the supply as the schedule counts."""


class Cause(NamedTuple):
    """kind: press, tool, setter, operators, dryer (of: the lot that had it), ready (the tool), material (its number),
    wish, over (the lot itself, its mould waiting for what goes in), or order (the lot that a wish puts first)."""

    kind: str
    of: int
    until: int


def causes(inst: Instance, timing: Timing) -> list[list[Cause]]:
    """Of each lot: what it had to wait for, by RULES.md, whether that held it up or not."""
    found: list[list[Cause]] = [[] for _ in range(inst.lot_run.size)]
    on_press: dict[int, int] = {}
    dried: list[int] = []
    with_tool: dict[int, int] = {}
    hands: dict[int, int] = {}
    staying = _Staying(inst)
    used = np.zeros(inst.material_price.size)
    for lot in timing.lots[:, w.ORDER].tolist():
        row, run = timing.lots[lot], int(inst.lot_run[lot])
        press, tool = int(row[w.PRESS]), int(inst.run_tool[run])
        mine = found[lot]
        if press in on_press:
            mine.append(Cause("press", on_press[press], int(timing.lots[on_press[press], w.END])))
        mine.append(Cause("ready", tool, int(inst.tool_ready[tool])))
        base = int(inst.tool_base[tool]) if inst.tool_base.size else tool
        if base in with_tool and timing.lots[with_tool[base], w.PRESS] != press:
            mine.append(Cause("tool", with_tool[base], int(timing.lots[with_tool[base], w.END])))
        changes = row[w.CO_START] != NEVER
        if changes and all(setter in hands for setter in setters_of(inst, press)):
            first = min(setters_of(inst, press), key=lambda s: int(timing.lots[hands[s], w.CO_END]))
            mine.append(Cause("setter", hands[first], int(timing.lots[hands[first], w.CO_END])))
        if inst.operators and inst.run_operators[run]:
            mine += staying.before(press, run)
            staying.stay(press, run, lot, int(row[w.END]))
        if row[w.WHY] == w.BY_WISH:
            over = kept_back_by(inst, timing, lot) == OVER
            mine.append(Cause("over", lot, lot_begin(timing, lot)) if over else _wished(inst, timing, dried, lot))
        if row[w.WHY] == w.BY_DRYER:
            mine.append(Cause("dryer", _before_in_dryer(inst, timing, dried, lot), lot_begin(timing, lot)))
        dried.append(lot)
        taken = taken_kg(inst, timing, lot, changes)
        asked = taken + _first_closing_kg(inst, press, run)
        for material in np.flatnonzero(asked > 0).tolist():
            mine.append(Cause("material", material, _there(inst, material, used[material] + asked[material])))
        if row[w.WHY] == w.BY_MATERIAL and not any(one.until == lot_begin(timing, lot) for one in mine):
            mine += _for_the_whole_run(inst, asked, lot_begin(timing, lot))
        used += taken + restarts_kg(inst, timing, lot)
        on_press[press] = with_tool[base] = lot
        if changes:
            hands[int(row[w.SETTER])] = lot
    return found


def setters_of(inst: Instance, press: int) -> range:
    """Those who set a press up: each place has setters of its own."""
    if not inst.elsewhere:
        return range(inst.setters)
    return range(int(inst.setter_first[press]), int(inst.setter_last[press]))


class _Staying:
    """Who stays at which run, place by place: until when and at which lot, soonest free first."""

    def __init__(self, inst: Instance) -> None:
        self.inst = inst
        self.rows: dict[int, list[tuple[int, int]]] = {}

    def before(self, press: int, run: int) -> list[Cause]:
        """The lot whose end frees the last of those that a run asks for."""
        until, lot = self._of(press)[int(self.inst.run_operators[run]) - 1]
        return [Cause("operators", lot, until)] if lot >= 0 else []

    def stay(self, press: int, run: int, lot: int, until: int) -> None:
        """Those who are free first stay at a lot until it ends."""
        row, many = self._of(press), int(self.inst.run_operators[run])
        row[:many] = [(until, lot)] * many
        row.sort()

    def _of(self, press: int) -> list[tuple[int, int]]:
        first, last = int(self.inst.operator_first[press]), int(self.inst.operator_last[press])
        return self.rows.setdefault(first, [(0, -1)] * (last - first))


def _for_the_whole_run(inst: Instance, asked: Floats, begin: int) -> list[Cause]:
    """What comes as a part that others break off begins: there for it before, but not for all of its run."""
    supplies = {
        m: inst.supply_t[inst.supply_ptr[m] : inst.supply_ptr[m + 1]] for m in np.flatnonzero(asked > 0).tolist()
    }
    return [Cause("material", material, begin) for material, moments in supplies.items() if begin in moments][:1]


def _wished(inst: Instance, timing: Timing, earlier: list[int], lot: int) -> Cause:
    """The wish that a lot waited for: the last lot that it puts first, or a moment."""
    begin = lot_begin(timing, lot)
    for other in earlier:
        if inst.run_after[inst.lot_run[lot], inst.lot_run[other]] and timing.lots[other, w.END] == begin:
            return Cause("order", other, begin)
    return Cause("wish", lot, begin)


def _before_in_dryer(inst: Instance, timing: Timing, earlier: list[int], lot: int) -> int:
    """The lot with the same dryer that was the last to end before this one begins; else the last to begin."""
    mine = set(inst.run_dryer[inst.lot_run[lot]].tolist()) - {-1}
    others = [other for other in earlier if mine & set(inst.run_dryer[inst.lot_run[other]].tolist())]
    begin = lot_begin(timing, lot)
    ended = [other for other in others if timing.lots[other, w.END] <= begin]
    return max(ended, key=lambda other: int(timing.lots[other, w.END])) if ended else others[-1]


def taken_kg(inst: Instance, timing: Timing, lot: int, changes: bool) -> Floats:
    """(K) kg a lot takes at its start: shots; with a changeover start-up shots and purges, by compound or melt."""
    row, run = timing.lots[lot], int(inst.lot_run[lot])
    press, tool = int(row[w.PRESS]), int(inst.run_tool[run])
    kg = np.zeros(inst.material_price.size)
    for b, melt in enumerate(inst.run_melt[run].tolist()):
        if melt < 0:
            continue
        shots = int(inst.lot_shots[lot]) + (int(inst.startup_shots[run]) if changes else 0)
        amount = shots * float(inst.shot_kg[run, b])
        barrel, hot_runner = (press, b, row[w.OLD_MELT + b], melt), (tool, b, row[w.OLD_HOT + b], melt)
        for place, at, melt_kg, rinse_kg, compound_kg in (
            (0, barrel, inst.purge_kg, inst.compound_rinse_kg, inst.compound_kg),
            (1, hot_runner, inst.hot_kg, inst.hot_rinse_kg, inst.hot_compound_kg),
        ):
            if at[2] < 0:
                continue
            with_compound = (int(row[w.WITH_COMPOUND]) >> (2 * place + b)) & 1
            amount += float((rinse_kg if with_compound else melt_kg)[at])
            if with_compound:
                bridge = int(inst.bridge[at[2], melt]) if inst.bridging and not place else -1
                kg[bridge if bridge >= 0 else inst.compound] += float(compound_kg[at])
        _spread(inst, kg, melt, amount)
    return kg


def restarts_kg(inst: Instance, timing: Timing, lot: int) -> Floats:
    """(K) kg of the start-up shots of a lot's restarts, and of its closings and what purges them out again."""
    row, run = timing.lots[lot], int(inst.lot_run[lot])
    pieces = timing.pieces[row[w.FIRST_PIECE] : row[w.FIRST_PIECE] + row[w.PIECES]]
    shots = int(inst.startup_shots[run]) * int(pieces[:, w.RESTARTED].sum())
    kg = np.zeros(inst.material_price.size)
    for b, melt in enumerate(inst.run_melt[run].tolist()):
        if melt >= 0:
            _spread(inst, kg, melt, shots * float(inst.shot_kg[run, b]))
            if (left := int(inst.leaves[run, b])) != melt:
                press, closings = int(row[w.PRESS]), len(pieces)
                _spread(inst, kg, left, closings * float(inst.closing_kg[press, run, b]))
                _spread(inst, kg, melt, (closings - 1) * float(inst.opening_kg[press, run, b]))
    return kg


def _first_closing_kg(inst: Instance, press: int, run: int) -> Floats:
    """(K) kg that must be there to clear a run's melt where that may not stand."""
    kg = np.zeros(inst.material_price.size)
    for b, melt in enumerate(inst.run_melt[run].tolist()):
        if (left := int(inst.leaves[run, b])) != melt:
            _spread(inst, kg, left, float(inst.closing_kg[press, run, b]))
    return kg


def _spread(inst: Instance, kg: Floats, melt: int, amount: float) -> None:
    share = float(inst.melt_master_share[melt])
    kg[inst.melt_resin[melt]] += amount * (1 - share)
    if inst.melt_master[melt] >= 0:
        kg[inst.melt_master[melt]] += amount * share


def _there(inst: Instance, material: int, kg: float) -> int:
    """When so many kg of a material are there."""
    steps = range(int(inst.supply_ptr[material]), int(inst.supply_ptr[material + 1]))
    return next((int(inst.supply_t[s]) for s in steps if inst.supply_kg[s] >= kg - MATERIAL_KG), NEVER)
