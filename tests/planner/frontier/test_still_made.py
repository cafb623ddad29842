"""What a trade-off list says of plans that are not there."""

import pytest

from planner.frontier.make import frontier
from tests.planner.frontier.test_trade_off_list import at


@pytest.mark.parametrize(
    ("waiting", "failed", "said"),
    [
        (0, 0, ""),
        (1, 0, " 1 of the plans asked for is still being made."),
        (2, 0, " 2 of the plans asked for are still being made."),
        (0, 1, " 1 could not be made."),
        (3, 2, " 3 of the plans asked for are still being made. 2 could not be made."),
    ],
)
def test_plans_that_wait_or_failed_are_counted(waiting, failed, said):
    """Behind what is known of the others; nothing where all are there."""
    assert frontier([], "GBP", waiting, failed).words == "None of the plans is made yet." + said
    alone = frontier([at("a", 3.0, 0)], "GBP").words
    assert alone.startswith("One plan is best in both: 3.0 kg")
    assert frontier([at("a", 3.0, 0)], "GBP", waiting, failed).words == alone + said


@pytest.mark.parametrize(("hours", "kg", "rate"), [(48, 4.0, 2.0), (24, 3.0, 3.0), (11, 3.0, None)])
def test_a_step_says_what_a_day_costs(hours, kg, rate):
    """From noon: eleven hours earlier is the same calendar day, for which there is no rate a day."""
    (step,) = frontier([at("slow", 1.0, 0), at("fast", 1.0 + kg, -hours, 5.0)], "GBP").steps
    assert (step.hours, step.kg, step.money, step.kg_per_day) == (hours, kg, 5.0, rate)
