"""Other places: what would have to be at two of them at once, or is not planned between them, is refused."""

import json
from copy import deepcopy

import pytest

from examples.situations import FOLDER
from planner.audit import audit
from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.planning.make import make_plan
from planner.reading import read

DOCUMENT = json.loads((FOLDER / "moulder-elsewhere.json").read_text(encoding="utf-8"))


def put(document, value, *path):
    at = document
    for step in path[:-1]:
        at = at.setdefault(step, {}) if isinstance(at, dict) else at[step]
    at[path[-1]] = value


def copy_of_the_tool(document):
    document["tools"]["foot 2"] = document["tools"]["foot"] | {"presses": ["big"]}


def anywhere(document):
    document["tools"]["foot"]["presses"] = ["big", "small"]


def apart_all(document):
    """Here nothing makes lids, there nothing makes pots: feet are made at both."""
    document["parts"]["lid"] = {"barrels": [{"resin": "pp", "mass_g": 20}]}
    document["tools"]["foot"]["cavities"] = {"foot": 2, "lid": 2}
    document["tools"]["pot"]["cavities"] = {"foot": 2, "pot": 2}


def nowhere_all(document):
    """The same with one base, which cannot be at both."""
    apart_all(document)
    for tool in ("foot", "pot"):
        document["tools"][tool]["base"] = "bolster"


def unfinished_somewhere(document):
    anywhere(document)
    document["parts"]["foot"]["stock"] = [{"colours": ["sage"], "count": 10, "finished": False}]


def six_tools(document):
    for n in range(1, 6):
        document["parts"][f"foot {n}"] = document["parts"]["foot"]
        document["tools"][f"foot {n}"] = document["tools"]["foot"] | {
            "cavities": {f"foot {n}": 4}, "presses": ["big", "small"]
        }  # fmt: skip


ACCEPTED = {
    "parts that no place makes alone": apart_all,
    "a tool that may go to either place": anywhere,
    "a copy of the tool at the other place": copy_of_the_tool,
    "a tool in a press there, that may run here too": lambda d: (
        anywhere(d),
        put(d, "foot", "presses", "small", "tool"),
    ),
    "the place to go to, said": lambda d: (anywhere(d), put(d, [{"tool": "foot"}], "planning", "made_at")),
}


@pytest.mark.parametrize("what", ACCEPTED)
def test_is_planned_and_each_tool_is_at_one_place(what):
    document = deepcopy(DOCUMENT)
    ACCEPTED[what](document)
    document["planning"]["rounds"] = 2
    campaign = read(document)
    plan = make_plan(campaign, Unhurried())
    at = {(run.tool, campaign.presses[run.press].place) for run in plan.runs}
    assert len(at) == len({tool for tool, _ in at})
    assert {line.tool for line in plan.tools_at} & {"foot", "foot 2"}
    assert audit(campaign, plan).holds
    if "in a press" in what:
        assert ("foot", "far works") in at
    if "said" in what:
        assert ("foot", None) in at


REMEDIES = {
    "presses of one place": (nowhere_all, lambda d: put(d, ["big"], "tools", "foot", "presses")),
    "where the stock lies": (unfinished_somewhere, lambda d: put(d, ["small"], "tools", "foot", "presses")),
    "fewer with a choice": (six_tools, lambda d: [put(d, ["big"], "tools", f"foot {n}", "presses") for n in (1, 2)]),
}


@pytest.mark.parametrize("what", REMEDIES)
def test_the_remedy_leads_to_what_is_accepted(what):
    document = deepcopy(DOCUMENT)
    wrong, right = REMEDIES[what]
    wrong(document)
    with pytest.raises(CampaignProblems):
        read(document)
    right(document)
    assert read(document)


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
    "parts that no place can make together": (nowhere_all, "/tools/foot/presses"),
    "stock of which nobody knows where it lies": (unfinished_somewhere, "/parts/foot/stock/0/finished"),
    "more ways than are looked at": (six_tools, "/tools/foot 5/presses"),
    "a place to go to where it has no press": (
        lambda d: put(d, [{"tool": "pot", "place": "far works"}], "planning", "made_at"), "/planning/made_at/0/place"),
    "a place to go to that nobody knows": (
        lambda d: put(d, [{"tool": "foot", "place": "moon"}], "planning", "made_at"), "/planning/made_at/0/place"),
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
