"""The compiled evaluator and its slow, plain twin agree to the second and the cent."""

import pytest

from tests.planner.schedule.plain.campaigns import CAMPAIGNS_A_BLOCK, block_agrees
from tests.support.sampled import sampled

BLOCKS = 5


@pytest.mark.parametrize("block", sampled(range(BLOCKS), 3))
def test_evaluator_equals_its_plain_twin(block: int) -> None:
    """Two of five times twenty random campaigns, two random plans each; `benchmarks.evaluator_twin` looks at as many as
    it is told."""
    feasible, cleanings = block_agrees(block)
    assert cleanings > 0
    assert feasible >= CAMPAIGNS_A_BLOCK
