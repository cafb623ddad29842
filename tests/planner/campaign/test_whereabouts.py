"""To which place a bought-in piece is delivered: where it is put in, at a bench or in the press that moulds over it."""

import json

import pytest

from api.demo import SITUATIONS
from planner.campaign.whereabouts import taken_piece_at
from planner.reading import read


@pytest.mark.parametrize(("presses", "place"), [((), ""), (("big", "small"), "far works")])
def test_an_insert_goes_to_the_press_that_moulds_over_it(presses, place):
    """Our own, or the moulder's; what nobody uses goes nowhere."""
    data = json.loads((SITUATIONS / "overmoulding.json").read_text())
    data["places"] = json.loads((SITUATIONS / "moulder-elsewhere.json").read_text())["places"] if presses else {}
    for press in presses:
        data["presses"][press]["place"] = "far works"
    campaign = read(data)
    assert taken_piece_at(campaign, "brass insert") == [place]
    assert taken_piece_at(campaign, "leaflet") == []


def test_what_is_packed_goes_to_the_packing_bench():
    """And what is assembled to the assembly bench, each place once."""
    data = json.loads((SITUATIONS / "overmoulding.json").read_text())
    data["pieces"] |= {"leaflet": {"price": 0.1, "stock": 900}}
    data["tiers"]["one"]["pieces"] = {"leaflet": 1}
    assert taken_piece_at(read(data), "leaflet") == [""]
