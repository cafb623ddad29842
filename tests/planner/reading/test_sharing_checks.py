"""Resins that must not follow each other in a barrel: whether the tools can be shared out so that none has to."""

import pytest
from spoiling import SMALL, spoilt

from planner.reading import read
from planner.reading.checks.sharing import problems

REMEDY = "buy another resin"


def campaign(**changes):
    """Tools shell (of one press, twin) and bits (of both), and a third like bits."""
    data = spoilt({})
    data["tools"]["more"] = SMALL["tools"]["bits"] | {"cavities": {"plug": 2}}
    for barrel in (*data["presses"]["twin"]["barrels"], *data["presses"]["solo"]["barrels"]):
        barrel.pop("holds", None)
        barrel["clean"] = True
    for name, presses in changes.items():
        data["tools"][name]["presses"] = presses
    return read(data)


def apart(*pairs):
    return lambda one, other: "they react" if {one, other} in [set(pair) for pair in pairs] else None


def found(resins, *pairs, of=None, past=True):
    said = problems(of or campaign(), {tool: [resin] for tool, resin in resins.items()}, apart(*pairs), REMEDY, past)
    return [(one.pointer, one.message) for one in said]


def test_tools_that_have_a_press_each_are_shared_out():
    assert found({"shell": "a", "bits": "b"}, "ab") == []
    assert found({"shell": "a", "bits": "a"}, "ab") == []


def test_a_pair_that_fits_one_press_alone_is_named_with_it():
    """Both fit the twin only: whatever stands beside them."""
    of = campaign(bits=["twin"])
    for resins in ({"shell": "a", "bits": "b"}, {"shell": "a", "bits": "b", "more": "b"}):
        ((pointer, message),) = found(resins, "ab", of=of)
        assert pointer == "/tools/shell/presses"
        assert "tools `bits` (`b`) and `shell` (`a`) would have to share a barrel on press `twin`" in message
        assert "the only one both fit, and they react" in message


def test_three_resins_on_two_presses_have_no_way():
    """Each pair fits two presses, but there is no third for the third: the first pair is named."""
    ((pointer, message),) = found({"shell": "a", "bits": "b", "more": "c"}, "ab", "bc", "ac")
    assert pointer == "/tools/more/presses"
    assert "tools `bits` (`b`) and `more` (`c`) would have to share a barrel on the presses they fit" in message
    assert found({"shell": "a", "bits": "b", "more": "b"}, "ab", "bc", "ac") == []


@pytest.mark.parametrize(("past", "number"), [(True, 1), (False, 0)])
def test_what_a_barrel_has_held_counts_where_the_past_does(past, number):
    data = spoilt({})
    data["presses"]["twin"]["barrels"][0] = {"holdup_kg": 0.8, "shot_max_g": 300, "clean": True, "has_held": ["tpe"]}
    said = found({"shell": "pp"}, ("pp", "tpe"), of=read(data), past=past)
    assert len(said) == number
    if number:
        ((pointer, message),) = said
        assert pointer == "/presses/twin/barrels/0/has_held"
        assert "fits only where the barrel has held `tpe`: barrel 1 of press `twin`, and they react" in message
