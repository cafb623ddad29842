"""Lists and moulds as people say them."""

import pytest

from planner.plan.phrases import MOST_NAMED, listed, mould_of
from tests.support.pot_campaign import pot_campaign


@pytest.mark.parametrize(
    ("things", "said"),
    [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c"), ("abcd", "a, b, c and d")],
)
def test_things_are_listed(things, said):
    assert listed(things) == said


def test_a_mould_is_called_by_what_it_makes_while_that_can_be_said():
    """One of more parts, or one that nobody knows any more, by its own name."""
    campaign = pot_campaign()
    name, tool = next(iter(campaign.tools.items()))

    def made(number: int) -> str:
        parts = {f"part{n}": 1 for n in range(number)}
        tools = {name: tool.model_copy(update={"cavities": parts})}
        return mould_of(campaign.model_copy(update={"tools": tools}), name)

    assert made(1) == "the mould for part0"
    assert made(2) == "the mould for part0 and part1"
    assert made(MOST_NAMED) == "the mould for part0, part1 and part2"
    assert made(MOST_NAMED + 1) == f"the mould {name}"
    assert mould_of(campaign, "gone") == "the mould gone"
