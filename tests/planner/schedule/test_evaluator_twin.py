"""The compiled evaluator and its slow, plain twin agree to the second and the cent."""

import numpy as np
import pytest

from benchmarks.generator import small
from planner.schedule import timing as w
from planner.schedule.encode import compile_campaign
from planner.schedule.timing import timing_for
from tests.planner.schedule.plain.compared import evaluated_twice
from tests.support.compound import cleaned

BLOCKS = 5
CAMPAIGNS_A_BLOCK = 20
PLANS_A_CAMPAIGN = 2


@pytest.mark.parametrize("block", range(BLOCKS))
def test_evaluator_equals_its_plain_twin(block: int) -> None:
    """Five times twenty random campaigns, two random plans each: times to the second, money to the cent;
    `benchmarks.evaluator_twin` looks at as many as it is told.

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
    assert cleanings > 0
    assert feasible >= CAMPAIGNS_A_BLOCK * PLANS_A_CAMPAIGN // 2
