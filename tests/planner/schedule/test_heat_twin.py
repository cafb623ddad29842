"""Bridges, closings and melts that must not stand: the compiled evaluator and its plain twin agree on every plan."""

import random

import numpy as np
import pytest

from benchmarks.floor_campaigns import floor_campaign
from planner.schedule import timing as w
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import NEVER, packed_instance
from planner.schedule.solution import objective_of
from planner.schedule.timing import timing_for
from tests.planner.schedule.plain_twin import CannotBeDone, carried_out, objective
from tests.planner.schedule.test_evaluator_twin import random_plan
from tests.support.compound import cleaned

CAMPAIGNS_A_BLOCK = 25


@pytest.mark.parametrize("block", range(2))
def test_evaluator_equals_its_plain_twin_where_resins_break_down(block: int) -> None:
    """Times to the second, money to the cent; bridges, closings and what purges them out again are among them."""
    feasible = bridged = closed = reopened = 0
    for seed in range(block * CAMPAIGNS_A_BLOCK, (block + 1) * CAMPAIGNS_A_BLOCK):
        campaign = floor_campaign(seed)
        if campaign is None:
            continue
        inst, _ = compile_campaign(cleaned(campaign, seed) if seed % 4 == 0 else campaign)
        tp, timing = packed_instance(inst), timing_for(inst)
        draw = random.Random(seed)
        for _ in range(2):
            solution = random_plan(inst, draw)
            value = objective_of(tp, solution, timing)
            try:
                plain = carried_out(inst, solution.lots(), [int(b) for b in solution.order])
            except CannotBeDone:
                assert value == np.inf, seed
                continue
            feasible += 1
            for lot, what in plain.lots.items():
                row = timing.lots[lot]
                assert (row[w.PRESS], row[w.END] - inst.filled().closing_s[what.press, inst.lot_run[lot]]) == (
                    what.press,
                    what.end,
                ), (seed, lot)
                change = None if row[w.CO_START] == NEVER else (row[w.CO_START], row[w.CO_END])
                assert change == what.changeover, (seed, lot)
            for column, line in (
                (w.PRESS_COST, "press"), (w.SETTER_COST, "setter"), (w.PURGE_COST, "purge"),
                (w.STARTUP_COST, "startup"), (w.LEFTOVER, "leftover"), (w.LATENESS, "lateness"),
            ):  # fmt: skip
                assert timing.totals[column] == pytest.approx(plain.lines[line], rel=1e-9, abs=1e-6), (seed, line)
            assert timing.totals[w.PURGE_TOTAL_KG] == pytest.approx(plain.purge_kg)
            assert value == pytest.approx(objective(inst, plain), rel=1e-9, abs=1e-6), seed
            if inst.bridging:
                olds, news = timing.lots[:, w.OLD_MELT], inst.run_melt[inst.lot_run, 0]
                bridged += int((inst.bridge[olds, news][olds >= 0] >= 0).sum())
            if inst.clearing:
                on = inst.closing_s[timing.lots[:, w.PRESS], inst.lot_run] > 0
                closed += int(on.sum())
                reopened += int((timing.lots[on, w.PIECES] > 1).sum())
    assert feasible >= CAMPAIGNS_A_BLOCK
    assert bridged > 0
    assert closed > 4
    assert reopened > 0
