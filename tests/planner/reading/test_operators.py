"""People who stay at presses: a tool that asks for more than there are is refused, field and remedy named."""

import json
from copy import deepcopy

import pytest

from examples.situations import FOLDER
from planner.errors import CampaignProblems
from planner.reading import read

DOCUMENT = json.loads((FOLDER / "operators.json").read_text(encoding="utf-8"))


def refused(document):
    with pytest.raises(CampaignProblems) as found:
        read(document)
    (problem,) = found.value.problems
    return problem


def elsewhere(document, **place):
    """The press of the dials stands at another place."""
    document["places"] = {"hill works": place}
    document["presses"]["small"]["place"] = "hill works"
    document["presses"]["small"].pop("lights_out")
    document["tools"]["cap"]["presses"] = ["big"]
    del document["parts"]["dial"]["moulded_over"]


def test_nobody_is_said_to_stay():
    document = deepcopy(DOCUMENT)
    del document["floor"]["operators"]
    problem = refused(document)
    assert problem.pointer == "/floor/operators"
    assert "one person" in problem.message
    assert "says that nobody can" in problem.message
    assert "`floor.operators`" in problem.remedy


def test_a_tool_asks_for_more_than_there_are():
    document = deepcopy(DOCUMENT)
    document["tools"]["dial"]["operators"] = 3
    document["floor"]["operators"] = 2
    problem = refused(document)
    assert (problem.pointer, "`dial` asks for 3 people" in problem.message) == ("/floor/operators", True)


def test_a_place_has_its_own_people():
    document = deepcopy(DOCUMENT)
    elsewhere(document)
    assert refused(document).pointer == "/places/hill works/operators"
    document["places"]["hill works"]["operators"] = 1
    assert read(document).places["hill works"].operators == 1


def test_none_are_needed_where_no_tool_asks():
    document = deepcopy(DOCUMENT)
    for tool in document["tools"].values():
        tool.pop("operators", None)
    del document["floor"]["operators"]
    assert not any(tool.operators for tool in read(document).tools.values())


@pytest.mark.parametrize("number", [-1, 21, 1.5, "one"])
def test_a_number_of_people_is_whole_and_not_below_none(number):
    document = deepcopy(DOCUMENT)
    document["tools"]["dial"]["operators"] = number
    assert refused(document).pointer == "/tools/dial/operators"
