"""What a tool says of its hot runner at the start: a melt, that it is clean, or nothing, which is unknown."""

import pytest

from planner.campaign.tools import Tool


@pytest.mark.parametrize(
    ("said", "unknown"),
    [
        ({}, [False, False]),
        ({"hot_runner_kg": [0.2]}, [True, False]),
        ({"hot_runner_kg": [0.2], "hot_runner_clean": True}, [False, False]),
        ({"hot_runner_kg": [0.2], "hot_runner_holds": ["pp/sage"]}, [False, False]),
        ({"hot_runner_kg": [0.2, 0.1], "hot_runner_holds": ["pp/sage"]}, [False, True]),
        ({"hot_runner_kg": [0.0, 0.1]}, [False, True]),
    ],
)
def test_what_nobody_says_of_a_hot_runner_is_unknown(said, unknown):
    """By barrel; one that holds nothing has none there. Unknown is dangerous: plans clear it first."""
    tool = Tool.model_validate({"cavities": {"cup": 1}, "cycle_s": 30, "presses": ["p1"]} | said)
    assert [tool.hot_runner_unknown(barrel) for barrel in range(2)] == unknown
    assert [tool.hot_runner_first(barrel) is None for barrel in range(2)] == [
        "hot_runner_holds" not in said, True
    ]  # fmt: skip
