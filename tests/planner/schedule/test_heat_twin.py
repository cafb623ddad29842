"""Bridges, closings and melts that must not stand: the compiled evaluator and its plain twin agree on every plan."""

import numpy as np
import pytest

from benchmarks.floor_campaigns import floor_campaign
from planner.schedule import timing as w
from planner.schedule.encode import compile_campaign
from planner.schedule.timing import timing_for
from tests.planner.schedule.plain.compared import evaluated_twice
from tests.support.compound import cleaned
from tests.support.sampled import sampled

CAMPAIGNS_A_BLOCK = 25


@pytest.mark.parametrize(("block", "shared"), sampled([(0, 0.0), (1, 0.0), (2, 1.0), (3, 1.0)], 2))
def test_evaluator_equals_its_plain_twin_where_resins_break_down(block: int, shared: float) -> None:
    """Times to the second, money to the cent; bridges, closings and what purges them out again are among them, and in
    some blocks presses that others use, where runs are broken off and what they leave is purged."""
    feasible = bridged = closed = reopened = broken_off = theirs = 0
    for seed in range(block * CAMPAIGNS_A_BLOCK, (block + 1) * CAMPAIGNS_A_BLOCK):
        campaign = floor_campaign(seed, shared)
        if campaign is None:
            continue
        inst, _ = compile_campaign(cleaned(campaign, seed) if seed % 4 == 0 else campaign)
        timing = timing_for(inst)
        for _ in evaluated_twice(inst, timing, seed, 2):
            feasible += 1
            broken_off += int(timing.rows[0]) - inst.lot_run.size
            if inst.sharing:
                theirs += int(np.isin(timing.lots[: inst.lot_run.size, w.OLD_MELT], inst.others_left).sum())
            if inst.bridging:
                olds, news = timing.lots[: inst.lot_run.size, w.OLD_MELT], inst.run_melt[inst.lot_run, 0]
                bridged += int((inst.bridge[olds, news][olds >= 0] >= 0).sum())
            if inst.clearing:
                lots = timing.lots[: inst.lot_run.size]
                on = inst.closing_s[lots[:, w.PRESS], inst.lot_run] > 0
                closed += int(on.sum())
                reopened += int((lots[on, w.PIECES] > 1).sum())
    assert feasible >= CAMPAIGNS_A_BLOCK // 2
    assert bridged > 0
    assert closed > 4
    assert reopened > 0
    assert (broken_off > 0 and theirs > 0) == (shared > 0)
