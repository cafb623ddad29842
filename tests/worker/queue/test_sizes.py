"""Which queue a campaign belongs in: each bound by itself, the last that is small and the first that is not."""

from tests.support.pot_campaign import pot_campaign
from worker.queue.broker import LARGE, SMALL
from worker.queue.sizes import LONGEST_BUDGET, MOST_LINES, MOST_RUNS, queue_for

POTS = pot_campaign()
"""Two colourways."""


def with_tools(number):
    [tool, *_] = POTS.tools.values()
    return POTS.model_copy(update={"tools": {f"tool {n}": tool for n in range(number)}})


def planned(**changes):
    return POTS.model_copy(update={"planning": POTS.planning.model_copy(update=changes)})


def test_runs_are_each_tool_in_each_colourway():
    assert queue_for(with_tools(MOST_RUNS // 2)) == SMALL
    assert queue_for(with_tools(MOST_RUNS // 2 + 1)) == LARGE


def test_time_and_lines_have_bounds_of_their_own():
    """A budget of rounds is large: nobody knows how long it takes."""
    assert queue_for(planned(seconds=LONGEST_BUDGET)) == SMALL
    assert queue_for(planned(seconds=LONGEST_BUDGET + 1)) == LARGE
    assert queue_for(planned(rounds=1)) == LARGE
    lines = POTS.orders[:1] * MOST_LINES
    assert queue_for(POTS.model_copy(update={"orders": lines})) == SMALL
    assert queue_for(POTS.model_copy(update={"orders": [*lines, lines[0]]})) == LARGE
