"""Which carton and carrier a parcel gets, against all of them tried by hand; and what leaving them out changes."""

import copy
from math import ceil
from typing import Any

import pytest

from planner.control import Unhurried
from planner.demand.parcels import pack_batches
from planner.planning.make import make_plan
from planner.reading import read
from tests.support.carton_campaign import document

GRAMS = {"bowl": 250, "leaflet": 5, "lid": 40, "small-box": 100, "big-box": 180}
OUTSIDE = {"small-box": (218, 218, 138), "big-box": (418, 218, 148)}
"""Eight mm more than inside each way."""


def money(data: dict[str, Any]) -> dict[str, float]:
    return {line.what: line.amount for line in make_plan(read(data), Unhurried()).costs}


def fits(box: str, bowls: int, lids: int) -> bool:
    """Bowls of 200 x 200 x 120 stand side by side, a lid of 10 lies on one: 130 high, 140, for one bowl and for two."""
    most, high = {"small-box": (1, 130), "big-box": (2, 140)}[box]
    return bowls <= most and (130 if lids else 120) <= high


def with_rates(limits: dict[str, dict[str, Any]]) -> dict[str, Any]:
    """Two carriers, the first of them cheap and with limits."""
    data = document()
    del data["carrier"]
    data["carriers"] = {
        "post": {"step_kg": 0.1, "rates": [{"steps": [{"up_to_kg": 5, "price": 3}]}]},
        "courier": {"step_kg": 0.5, "volumetric_divisor": 5000,
                    "rates": [{"steps": [{"up_to_kg": 1, "price": 6}, {"up_to_kg": 9, "price": 8}]}]},
    }  # fmt: skip
    for name, said in limits.items():
        data["carriers"][name] |= said
    return data


LIMITS: list[dict[str, dict[str, Any]]] = [
    {},
    {"post": {"max_kg": 0.36}},
    {"post": {"longest_mm": 300}},
    {"post": {"girth_mm": 1000}},
    {"post": {"girth_mm": 900}},
    {"post": {"max_kg": 0.3}, "courier": {"longest_mm": 600}},
    {"courier": {"whole_cm": True}, "post": {"longest_mm": 300}},
]


def best(data: dict[str, Any], bowls: int, lids: int) -> tuple[str, str]:
    """Carrier and carton: of each carrier the cheapest carton that it takes, then whose postage is least."""
    found = []
    for number, (carrier, said) in enumerate(data["carriers"].items()):
        taken = []
        for box, price in (("big-box", 0.9), ("small-box", 0.4)):
            kg = (bowls * GRAMS["bowl"] + lids * GRAMS["lid"] + GRAMS["leaflet"] + GRAMS[box]) / 1000
            long, wide, high = OUTSIDE[box]
            sides = [ceil(side / 10) if said.get("whole_cm") else side / 10 for side in (long, wide, high)]
            volume = sides[0] * sides[1] * sides[2] / said["volumetric_divisor"] if "volumetric_divisor" in said else 0
            charged = ceil(round(max(kg, volume) / said["step_kg"], 9)) * said["step_kg"]
            takes = (
                kg <= said.get("max_kg", 99)
                and long <= said.get("longest_mm", 9999)
                and long + 2 * wide + 2 * high <= said.get("girth_mm", 9999)
            )
            prices = [step["price"] for step in said["rates"][0]["steps"] if charged <= step["up_to_kg"] + 1e-9]
            if fits(box, bowls, lids) and takes and prices:
                taken.append((price, prices[0], box))
        if taken:
            _, postage, box = min(taken)
            found.append((postage, number, carrier, box))
    return min(found)[2:]


@pytest.mark.parametrize("limits", LIMITS)
def test_no_other_carton_and_carrier_cost_less(limits: dict[str, dict[str, Any]]) -> None:
    """One bowl, two of them, a bowl with a lid: each batch by its carton and its carrier."""
    data, seen = with_rates(limits), set()
    for batch in pack_batches(read(data)):
        bowls, pieces = sum(number for _, number in batch.units), dict(batch.pieces)
        lids = pieces.get("lid", 0)
        carrier, box = best(data, bowls, lids)
        assert (batch.carrier, {one for one in pieces if one in OUTSIDE}) == (carrier, {box})
        seen.add((bowls, lids))
    assert seen == {(1, 0), (2, 0), (1, 1)}


def test_without_cartons_none_are_bought() -> None:
    """131 small ones at 0.40 and 21 large ones at 0.90."""
    data = document()
    without = copy.deepcopy(data)
    for tier in without["tiers"].values():
        del tier["cartons"]
    saved = money(data)["bought-in pieces"] - money(without)["bought-in pieces"]
    assert saved == pytest.approx(131 * 0.4 + 21 * 0.9)


def test_without_its_limits_the_cheaper_carrier_takes_what_it_did_not() -> None:
    """21 parcels of two bowls are 418 mm long, over the post's 300: by courier for 8 each, and not for 3."""
    limited, free = (money(with_rates(limits)) for limits in ({"post": {"longest_mm": 300}}, {}))
    assert limited["postage"] - free["postage"] == pytest.approx(21 * (8 - 3))
