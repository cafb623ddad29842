"""Units and sub-assemblies in hand whose parts nobody says to be in stock: told, since they are made again."""

import copy
import json

from api.demo import SITUATIONS
from planner.control import Unhurried
from planner.demand.put_together import not_in_stock
from planner.planning.make import make_plan
from planner.reading import read


def valves():
    """100 valves are put together: 100 caps and stems in stock too, and 100 seals of 600."""
    return json.loads((SITUATIONS / "sub-assembly.json").read_text(encoding="utf-8"))


def test_what_stands_in_stock_is_not_told():
    assert not_in_stock(read(valves())) == []


def test_each_part_and_piece_that_does_not_is_told_where_it_is_said():
    document = valves()
    document["parts"]["cap"].pop("stock")
    document["parts"]["stem"]["stock"][0]["count"] = 99
    document["pieces"]["seal"] |= {"stock": 70, "lead_days": 3}
    here = ("products", "pot", "sub_assemblies", "valve", "in_hand", "sage")
    assert [(one.where, one.of, one.needed, one.there) for one in not_in_stock(read(document))] == [
        (here, "cap in sage", 100, 0), (here, "stem in sage", 100, 99), (here, "seal", 100, 70)
    ]  # fmt: skip


def test_units_and_sub_assemblies_hold_them_together():
    """60 pots are assembled besides, each with a cap: 160 caps, of which 100 are there."""
    document = valves()
    document["products"]["pot"]["assembled"] = {"sage": 60}
    found = {one.of: (one.needed, one.there) for one in not_in_stock(read(document))}
    assert found == {"cap in sage": (160, 100), "stem in sage": (160, 100), "pot in sage": (60, 0)}
    document["parts"]["pot"]["stock"] = [{"colours": ["sage"], "count": 60}]
    for part in ("cap", "stem"):
        document["parts"][part]["stock"][0]["count"] = 160
    assert not_in_stock(read(document)) == []


def test_a_plan_says_so_and_makes_them_again():
    document = valves()
    without = copy.deepcopy(document)
    without["parts"]["cap"].pop("stock")
    plans = [make_plan(read(one), Unhurried()) for one in (document, without)]
    shots = [sum(run.shots for run in plan.runs if run.tool == "cap") for plan in plans]
    assert shots == [100, 125], "four caps a shot"
    told = [[one.text for one in plan.cautions if one.about == "valve in hand"] for plan in plans]
    assert told[0] == []
    (text,) = told[1]
    assert "holds 100 of `cap in sage`, and 0 are said to be in stock" in text
    assert all(plan.audit.holds for plan in plans)
