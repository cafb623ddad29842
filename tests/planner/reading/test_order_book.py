"""An order book read by what its lines say is the one that is read line by line, also where something is wrong."""

import copy
import json
import random
from pathlib import Path
from typing import Any

import pytest
from pydantic import ValidationError

from planner.campaign import Campaign
from planner.campaign.orders import OrderLine
from planner.errors import CampaignProblems
from planner.reading import order_book, read
from planner.reading.order_book import with_lines_alike

DEMO = json.loads((Path(__file__).parents[3] / "examples" / "herb-planter.json").read_text(encoding="utf-8"))
ODD: list[Any] = [
    ("ref", " a "), ("ref", "a" * 61), ("ref", " " * 70 + "a"), ("ref", "Bestellung Ä"), ("ref", "\x1ca"), ("ref", 7),
    ("ref", None), ("count", 0), ("count", True), ("count", "3"), ("count", 2.0), ("count", 10**7), ("count", None),
    ("tier", " single "), ("tier", None), ("tier", 1), ("units", None), ("units", {"planter": ["sage "]}),
    ("units", {}), ("units", {"planter": "sage"}), ("opens", None), ("opens", "2027-05-01"), ("opens", 0),
    ("opens", "soon"), ("gone", None), ("gone", {}), ("gone", {"parcels": 0}), ("country", "gb"), ("country", None),
    ("what", 1), ("", (True, True)), ("extra_pieces", {"leaflet": True}), ("extra_pieces", {"leaflet": 1.0}),
    ("extra_units", []),
]  # fmt: skip
"""Values that lines are given, sound ones and others."""


def spoiled(seed: int, fields: list[tuple[str, Any]]) -> dict[str, Any]:
    """The demo with sixty order lines, among them some with such values."""
    chance = random.Random(seed)
    document = copy.deepcopy(DEMO)
    document["orders"] = [copy.deepcopy(chance.choice(DEMO["orders"][:9])) for _ in range(60)]
    for name, value in fields:
        for _ in range(2):
            chance.choice(document["orders"])[name] = copy.deepcopy(value)
    for line in document["orders"][:6]:
        line.pop(chance.choice(["ref", "count", "country"]), None)
    return document


def problems(document: object) -> list[tuple[str, str]]:
    with pytest.raises(CampaignProblems) as raised:
        read(document)
    return [(one.pointer, one.message) for one in raised.value.problems]


@pytest.mark.parametrize("number", range(len(ODD)))
def test_lines_are_what_they_are_when_read_one_by_one(number: int, monkeypatch: pytest.MonkeyPatch) -> None:
    document = spoiled(number, [ODD[number]])
    quick = with_lines_alike(document)
    try:
        wanted = Campaign.model_validate(document)
    except ValidationError:
        assert quick is document
        found = problems(document)
        monkeypatch.setattr(order_book, "_FEW", 1000)
        assert found == problems(document)
        return
    assert quick is not document
    got = Campaign.model_validate(quick)
    assert got == wanted
    assert [line.model_fields_set for line in got.orders] == [line.model_fields_set for line in wanted.orders]
    assert got.model_dump_json(exclude_unset=True) == wanted.model_dump_json(exclude_unset=True)


def test_each_thing_that_lines_say_is_read_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The demo's 3,200 lines say 323 different things; each was validated by itself."""
    inner, validated = OrderLine.model_validate, []

    def counted(data: object) -> OrderLine:
        validated.append(data)
        return inner(data)

    monkeypatch.setattr(OrderLine, "model_validate", counted)
    campaign = read(DEMO)
    assert len(campaign.orders) == 3_200
    assert len(validated) == 323


def test_a_copy_of_a_line_made_from_another_is_a_line_like_any() -> None:
    first, *_ = read(DEMO).orders
    again = first.again("X1", 7)
    assert (again.ref, again.count, again.units) == ("X1", 7, first.units)
    assert again.model_copy(update={"count": 8}) == first.model_copy(update={"ref": "X1", "count": 8})
    assert hash(again.model_dump_json()) == hash(OrderLine.model_validate(again.model_dump()).model_dump_json())
