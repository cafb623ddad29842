"""Odd campaigns: each a plan that passed the audit, none of its parts failed, or a proven refusal;
`benchmarks/odd_campaigns.py` has 1,000."""

import pytest

from benchmarks.odd_campaigns import odd, outcome
from planner.planning.verdict import left_out


@pytest.mark.parametrize("seed", [2, 8, 13, 29, 34, 90, 350, 505])
def test_each_is_planned_and_explained(seed: int) -> None:
    """Of 90, 350 and 505 hours were counted in which a press could not be begun: people had left before the start."""
    plan = outcome(odd(seed)[0])
    assert not isinstance(plan, str)
    assert plan.audit is not None
    assert plan.audit.holds
    assert left_out(plan) is None


def test_too_few_hours_in_all_are_a_proof() -> None:
    """Twenty minutes with somebody there in half a year: it was searched on and on, and called not found."""
    assert outcome(odd(777)[0]) == "infeasible"
