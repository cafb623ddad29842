"""A first plan without a search: sound, and what the search begins with."""

import pytest

from api.demo import EXAMPLES
from planner import read
from planner.control import Unhurried
from planner.planning.by_rule import plan_by_rule
from planner.planning.make import make_plan


@pytest.mark.parametrize("name", ["starter", "overmoulding", "waves", "wishes"])
def test_a_plan_by_rule_holds_all_rules_and_the_search_ends_no_worse(name: str) -> None:
    """Its bound is one: the plan that was searched for does not undercut it either."""
    document = EXAMPLES[name].document
    campaign = read(document | {"planning": {"rounds": 2}})
    first = plan_by_rule(campaign)
    assert first is not None
    assert first.audit is not None
    assert first.audit.holds
    found = make_plan(campaign, Unhurried())
    assert first.outcome.total >= found.outcome.total - 0.005
    assert first.outcome.lower_bound <= found.outcome.total + 0.005
