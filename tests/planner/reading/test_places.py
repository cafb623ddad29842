"""Other places: what would have to be at two of them at once, or is not planned between them, is refused."""

import json
from copy import deepcopy

import pytest

from examples.situations import FOLDER
from planner.errors import CampaignProblems
from planner.reading import read

DOCUMENT = json.loads((FOLDER / "moulder-elsewhere.json").read_text(encoding="utf-8"))


def put(document, value, *path):
    at = document
    for step in path[:-1]:
        at = at.setdefault(step, {}) if isinstance(at, dict) else at[step]
    at[path[-1]] = value


def copy_of_the_tool(document):
    document["tools"]["foot 2"] = document["tools"]["foot"] | {"presses": ["big"]}


def dried(document):
    put(document, {"family": "ABS", "price_per_kg": 2, "drying_hours": 3}, "resins", "pp")


def in_a_planned_dryer(document):
    put(document, {"family": "ABS", "drying_hours": 3, "dryer_kg": 20}, "resins", "abs")
    document["parts"]["foot"]["barrels"] = [{"resin": "abs", "mass_g": 10}]


def moulded_over_and_in_products(document):
    """Feet go into the mould of pots here, and are assembled at the far works."""
    document["parts"]["pot"]["moulded_over"] = {"parts": [{"part": "foot", "colours": ["cream"]}]}
    document["assembly"] = {"place": "far works"}


def piece_at_both(document):
    document["pieces"] = {"leaf": {"stock": 5000}}
    document["products"]["pot"]["pieces"] = {"leaf": 1}
    document["tiers"]["one"]["pieces"] = {"leaf": 1}
    document["assembly"] = {"place": "far works"}


def put_together_at_two(document):
    """A second product puts feet together on a bench at the far works."""
    pot = document["products"]["pot"]
    document["finishing_benches"] = {"glue": {"place": "far works"}}
    document["products"]["stand"] = deepcopy(pot) | {"sub_assemblies": {"feet": {"at": "glue", "parts": ["foot"]}}}


REFUSED = {
    "a bench at a place nobody knows": (
        lambda d: put(d, {"x": {"place": "moon"}}, "finishing_benches"), "/finishing_benches/x/place"),
    "assembly at a place nobody knows": (lambda d: put(d, "moon", "assembly", "place"), "/assembly/place"),
    "packing at a place nobody knows": (lambda d: put(d, "moon", "packing", "place"), "/packing/place"),
    "a part moulded over here and assembled there": (moulded_over_and_in_products, "/parts/foot"),
    "a part put together there and assembled here": (put_together_at_two, "/parts/foot"),
    "a piece taken at two places": (piece_at_both, "/pieces/leaf"),
    "a place nobody knows": (lambda d: put(d, "moon", "presses", "small", "place"), "/presses/small/place"),
    "a tool at two places": (lambda d: put(d, ["big", "small"], "tools", "foot", "presses"), "/tools/foot/presses"),
    "a part made at two places": (copy_of_the_tool, "/parts/foot"),
    "a tool left in a press elsewhere": (lambda d: put(d, "foot", "presses", "big", "tool"), "/presses/big/tool"),
    "a resin dried at both": (dried, "/resins/pp"),
    "a dryer looked after, elsewhere": (in_a_planned_dryer, "/resins/abs/dryer_kg"),
    "lights out elsewhere": (lambda d: put(d, {"hours": 3}, "presses", "small", "lights_out"),
                             "/presses/small/lights_out"),
    "one name for a place and a bench": (lambda d: put(d, {}, "finishing_benches", "far works"), "/places/far works"),
    "no such time zone": (lambda d: put(d, "Middle/Earth", "places", "far works", "time_zone"),
                          "/places/far works/time_zone"),
    "lots that never leave": (lambda d: put(d, [], "places", "far works", "leaves"), "/places/far works/leaves"),
}  # fmt: skip


@pytest.mark.parametrize("what", REFUSED)
def test_is_refused_at_its_field(what):
    document = deepcopy(DOCUMENT)
    change, where = REFUSED[what]
    change(document)
    with pytest.raises(CampaignProblems) as refused:
        read(document)
    assert where in {problem.pointer for problem in refused.value.problems}


def test_what_is_in_stock_there_is_said_unfinished():
    document = deepcopy(DOCUMENT)
    document["parts"]["foot"]["stock"] = [{"colours": ["sage"], "count": 10, "finished": False}]
    assert read(document).parts["foot"].stock[0].finished is False
    document["parts"]["pot"]["stock"] = [{"colours": ["sage"], "count": 10, "finished": False}]
    with pytest.raises(CampaignProblems, match="not finished"):
        read(document)


def test_people_of_our_floor_are_not_asked_for_there():
    """Nobody of ours is there in the afternoon; the press elsewhere has hours of its own."""
    document = deepcopy(DOCUMENT)
    document["floor"]["attended"] = {"hours": {"mon-fri": "06:00-14:00"}}
    document["presses"]["small"]["hours"] = {"mon-fri": "18:00-24:00"}
    assert read(document).presses["small"].place == "far works"
