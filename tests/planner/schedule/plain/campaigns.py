"""Random campaigns on which the compiled evaluator is held against the plain twin."""

import numpy as np

from benchmarks.generator import small
from planner.schedule import timing as w
from planner.schedule.encode import compile_campaign
from planner.schedule.timing import timing_for
from tests.planner.schedule.plain.compared import evaluated_twice
from tests.support.compound import cleaned

CAMPAIGNS_A_BLOCK = 20
PLANS_A_CAMPAIGN = 2


def block_agrees(block: int) -> tuple[int, int]:
    """Times to the second, money to the cent; how many plans could be carried out, and cleanings in them.

    Every third campaign has a purging compound.
    """
    feasible = cleanings = 0
    for seed in range(block * CAMPAIGNS_A_BLOCK, (block + 1) * CAMPAIGNS_A_BLOCK):
        campaign = small(seed) if seed % 3 else cleaned(small(seed), seed)
        inst, _ = compile_campaign(campaign)
        timing = timing_for(inst)
        for _ in evaluated_twice(inst, timing, seed, PLANS_A_CAMPAIGN):
            feasible += 1
            cleanings += int(np.count_nonzero(timing.lots[:, w.WITH_COMPOUND]))
    return feasible, cleanings
