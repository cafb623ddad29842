"""Every plan of a random small campaign passes the auditor, whatever the campaign's features."""

import pytest

from benchmarks.generator import small
from planner.control import Unhurried
from planner.planning.make import make_plan
from tests.support.sampled import sampled


@pytest.mark.slow
@pytest.mark.parametrize("first", range(4))
def test_random_small_campaigns_are_planned_and_pass_the_audit(first: int) -> None:
    """make_plan raises AuditFailed with the broken rules where one does not hold, Infeasible where it finds no plan.
    Twenty of two hundred; `benchmarks.schedule_scale` with `--agree N` goes through N."""
    for seed in sampled(range(first, 180, 12), 3):
        campaign = small(seed)
        quick = campaign.planning.model_copy(update={"rounds": 1})
        plan = make_plan(campaign.model_copy(update={"planning": quick}), Unhurried())
        assert plan.audit is not None
        assert plan.audit.holds, seed
        assert plan.outcome.lower_bound <= plan.outcome.total


def test_the_same_seed_and_rounds_give_the_same_plan() -> None:
    """Apart from nothing at all: the whole document is equal."""
    campaign = small(3)
    quick = campaign.planning.model_copy(update={"rounds": 2, "seed": 7})
    once, again = (make_plan(campaign.model_copy(update={"planning": quick}), Unhurried()) for _ in range(2))
    assert once == again
