"""A first plan without a search: sound, and what the search begins with."""

import subprocess
import sys

import pytest

from api.demo import EXAMPLES
from planner import read
from planner.control import Unhurried
from planner.plan.order_of_work import order_of
from planner.planning.by_rule import plan_by_rule
from planner.planning.make import kept, make_plan
from planner.schedule.encode import compile_campaign


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


@pytest.mark.parametrize("aim", ["soonest", "waste"])
def test_a_plan_by_rule_says_what_it_has_of_another_aim(aim: str) -> None:
    """Its days, or kilograms, and no bound of them; a search from the same rules ends with no more."""
    campaign = read(EXAMPLES["starter"].document | {"planning": {"rounds": 2, "aim": aim}})
    first = plan_by_rule(campaign)
    assert first is not None
    assert first.outcome.aim_unit == {"soonest": "days", "waste": "kg"}[aim]
    assert (first.outcome.aim_bound, first.outcome.status) == (0.0, "feasible")
    found = make_plan(campaign, Unhurried())
    assert 0 < found.outcome.aim_value <= first.outcome.aim_value + 1e-6
    again = kept(*compile_campaign(campaign), order_of(first))
    assert again is not None
    assert again.outcome.aim_value == pytest.approx(first.outcome.aim_value)


NEEDED_BY_A_SEARCH = (
    "ortools", "pandas", "scipy.linalg", "scipy.optimize", "planner.schedule.search",
    "planner.schedule.bounds.lower_bound", "planner.expected", "planner.promise.make",
)  # fmt: skip
"""And by whoever compiles: Numba makes itself ready with scipy.linalg, half of what a plan by rule takes."""


def test_a_plan_by_rule_loads_nothing_that_only_a_search_needs() -> None:
    """Whoever starts the demo waits for it. What times plans is compiled by then, as it is at every second start."""
    plan = (
        "import sys; from api.demo import EXAMPLES; from planner import reading; from planner.planning import by_rule; "
        "assert by_rule.plan_by_rule(reading.read(EXAMPLES['starter'].document)); "
        f"print([name for name in {NEEDED_BY_A_SEARCH!r} if name in sys.modules])"
    )
    assert plan_by_rule(read(EXAMPLES["starter"].document)) is not None
    said = subprocess.run([sys.executable, "-c", plan], capture_output=True, text=True, check=True).stdout
    assert said.strip() == "[]"
