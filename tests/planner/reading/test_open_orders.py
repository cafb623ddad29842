"""Orders whose colourway is open until a vote is settled, told apart when a campaign is read (RULES.md, S10.5).

Worked by hand on the situation of a vote that moves orders: 3,000 pots in cream, then 2,000 in moss, then 1,500 in
grey; if moss wins, the last 600 in cream become moss. A pot has 50 g, and masterbatch is let down at 2 %.
"""

import json
from datetime import date, datetime
from typing import Any

import pytest

from examples.situations import FOLDER
from planner.campaign import Campaign
from planner.campaign.base import Arrival
from planner.errors import CampaignProblems, Problem
from planner.reading import read
from planner.reading.open_orders import as_it_stood, with_open_orders

Json = dict[str, Any]
HERE = "/uncertainty/settled/late choices"
MOVE = f"{HERE}/outcomes/moss/moves/0"


def document() -> Json:
    data: Json = json.loads((FOLDER / "moving-vote.json").read_text(encoding="utf-8"))
    return data


def move(data: Json) -> Json:
    found: Json = data["uncertainty"]["settled"]["late choices"]["outcomes"]["moss"]["moves"][0]
    return found


def lines(campaign: Campaign) -> list[tuple[str, int]]:
    return [(line.units["pot"][0], line.count) for line in campaign.orders]


def problems(data: Json) -> list[Problem]:
    with pytest.raises(CampaignProblems) as found:
        read(data)
    return found.value.problems


def test_the_last_orders_of_the_book_are_the_open_ones() -> None:
    """600 of 3,000; those of other colourways are left alone, and each line says where it stood."""
    campaign = read(document())
    assert lines(campaign) == [("cream", 2400), ("cream or moss", 600), ("moss", 2000), ("grey", 1500)]
    assert campaign.products["pot"].colourways["cream or moss"] == {"pot": ["cream or moss"]}
    again, places, wrong = with_open_orders(Campaign.model_validate(document()))
    assert lines(again) == lines(campaign)
    assert wrong == []
    assert places == {
        "/orders/1": "/orders/0", "/orders/2": "/orders/1", "/orders/3": "/orders/2",
        "/colours/cream or moss": HERE, "/products/pot/colourways/cream or moss": HERE,
    }  # fmt: skip


def test_open_orders_are_counted_from_the_end_over_several_lines() -> None:
    """A line of 400 at the end is wholly open, 200 of the one before; a line of which something has left has none."""
    data = document()
    cream = data["orders"][0]
    data["tiers"]["two"] = data["tiers"]["one"] | {"units": {"pot": 2}}
    begun = {"tier": "two", "units": {"pot": ["cream", "grey"]}, "gone": {"units": {"pot": ["grey"]}}, "count": 50}
    data["orders"] = [cream, cream | {"count": 400}, begun]
    assert lines(read(data)) == [("cream", 2800), ("cream or moss", 200), ("cream or moss", 400), ("cream", 50)]
    data["orders"] = [cream, cream | {"count": 600}]
    assert lines(read(data)) == [("cream", 3000), ("cream or moss", 600)]


def test_a_move_may_take_every_order_and_not_one_more() -> None:
    data = document()
    move(data)["orders"] = 3000
    assert lines(read(data))[0] == ("cream or moss", 3000)
    move(data)["orders"] = 3001
    (found,) = problems(data)
    assert (found.pointer, found.remedy) == (MOVE, "move fewer")
    assert found.message == "3,001 orders are moved from `cream`, 3,000 have it"


def test_two_moves_of_an_outcome_take_one_after_the_other() -> None:
    """The last 600 become moss, the 100 before them grey: three ways of which one is as ordered."""
    data = document()
    outcome = data["uncertainty"]["settled"]["late choices"]["outcomes"]["moss"]
    outcome["moves"].append(move(data) | {"becomes": "grey", "orders": 100})
    campaign = read(data)
    assert lines(campaign)[:3] == [("cream", 2300), ("cream or grey", 100), ("cream or moss", 600)]
    outcome["moves"][1]["orders"] = 2401
    assert problems(data)[0].message == "3,001 orders are moved from `cream`, 3,000 have it"


def test_two_outcomes_that_move_the_same_orders_open_them_once() -> None:
    """If grey wins, the last 200 become grey: those are one of three, the 400 before them one of two."""
    data = document()
    settled = data["uncertainty"]["settled"]["late choices"]["outcomes"]
    settled["cream"]["chance"] = 0.5
    settled["grey"] = {"what": "grey wins", "chance": 0.1, "moves": [move(data) | {"becomes": "grey", "orders": 200}]}
    campaign = read(data)
    assert lines(campaign)[:3] == [("cream", 2400), ("cream or moss", 400), ("cream or moss or grey", 200)]
    assert campaign.uncertainty is not None
    one = campaign.uncertainty.settled["late choices"]
    assert one.between is not None
    assert one.between.colours == {
        "cream or moss or grey": ["cream", "moss", "grey"], "cream or moss": ["cream", "moss", "cream"],
    }  # fmt: skip
    recipes = {outcome: {of: r.colour for of, r in said.recipes.items()} for outcome, said in one.outcomes.items()}
    assert recipes == {
        "cream": {},
        "moss": {"cream or moss or grey": "moss", "cream or moss": "moss"},
        "grey": {"cream or moss or grey": "grey"},
    }


def test_moves_of_a_tier_leave_other_tiers_alone() -> None:
    data = document()
    data["tiers"]["two"] = data["tiers"]["one"] | {"units": {"pot": 2}}
    data["orders"].append({"tier": "two", "units": {"pot": ["cream", "grey"]}, "count": 700})
    move(data)["tier"] = "one"
    campaign = read(data)
    assert [line.units["pot"] for line in campaign.orders] == [
        ["cream"], ["cream or moss"], ["moss"], ["grey"], ["cream", "grey"],
    ]  # fmt: skip
    move(data)["tier"] = "two"
    assert [(line.units["pot"], line.count) for line in read(data).orders][-2:] == [
        (["cream", "grey"], 100), (["cream or moss", "grey"], 600),
    ]  # fmt: skip
    outcome = data["uncertainty"]["settled"]["late choices"]["outcomes"]["moss"]
    outcome["moves"].append({name: value for name, value in move(data).items() if name != "tier"})
    both = [one for one in problems(data) if one.pointer == HERE]
    assert [one.message for one in both] == ["orders of `pot` in `cream` are moved by tier and altogether"]


def test_masterbatch_of_open_orders_comes_when_it_is_known() -> None:
    """600 pots of 50 g at 2 % are 0.6 kg: twice that and 2 kg more, when the day of the vote is
    over; none before, none to buy."""
    data = document()
    for colour in data["colours"].values():
        colour["let_down_percent"] = 2
    opened = read(data).colours["cream or moss"]
    assert opened.arrivals == [Arrival(on=date(2027, 1, 16), amount=3.2)]
    assert (opened.stock_kg, opened.lead_days, opened.same_as) == (0.0, None, "cream")
    data["colours"]["moss"]["let_down_percent"] = 4  # the greater share of the two
    assert read(data).colours["cream or moss"].arrivals[0].amount == pytest.approx(2 * 1.2 + 2)


def test_masterbatch_comes_no_sooner_than_both_colours_are_there() -> None:
    """Moss is ordered at the start, Monday 11 January at six, and takes ten days; or comes on the 30th."""
    data = document()
    data["colours"]["moss"] |= {"stock_kg": 0, "lead_days": 10}
    assert read(data).colours["cream or moss"].arrivals[0].on == datetime(2027, 1, 21, 6)
    data["colours"]["moss"] |= {"lead_days": None, "arrivals": [{"on": "2027-01-30", "amount": 9}]}
    assert read(data).colours["cream or moss"].arrivals[0].on == date(2027, 1, 30)
    data["colours"]["moss"] |= {"lead_days": 2}  # sooner than the vote
    assert read(data).colours["cream or moss"].arrivals[0].on == date(2027, 1, 16)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"product": "pan"}, "`pan` is not among `products`"),
        ({"becomes": "rose"}, "`rose` is no colourway of `pot`"),
        ({"colourway": "rose"}, "`rose` is no colourway of `pot`"),
        ({"becomes": "cream"}, "orders in `cream` that become `cream` are not moved"),
        ({"tier": "two"}, "`two` is not among `tiers`"),
    ],
)
def test_a_move_of_what_is_not_there(changes: Json, words: str) -> None:
    data = document()
    move(data).update(changes)
    (found,) = problems(data)
    assert (found.pointer, found.message) == (MOVE, words)
    assert found.remedy


def test_a_colour_without_masterbatch_cannot_be_held_back() -> None:
    """What keeps open orders from being moulded is that their masterbatch is not there yet."""
    data = document()
    data["colours"]["moss"]["let_down_percent"] = 0
    found = [one for one in problems(data) if one.pointer == MOVE]
    assert [one.message for one in found] == [
        "`moss` takes no masterbatch, so nothing keeps open orders in it from being moulded"
    ]
    data = document()
    data["colours"]["moss"]["stock_kg"] = 0
    found = [one for one in problems(data) if one.pointer == MOVE]
    assert [one.message for one in found] == ["there is no masterbatch of `moss`, and none comes"]


def test_problems_name_the_place_of_the_document() -> None:
    """A field of a line is kept behind the line's old place; of what reading wrote, the vote is named alone."""
    places = {"/orders/1": "/orders/0", "/orders/10": "/orders/9", "/colours/cream or moss": HERE}

    def told(pointer: str) -> str:
        (one,) = as_it_stood([Problem(pointer, "words", "remedy")], places)
        assert (one.message, one.remedy) == ("words", "remedy")
        return one.pointer

    assert told("/orders/1/country") == "/orders/0/country"
    assert told("/orders/1") == "/orders/0"
    assert told("/orders/10/tier") == "/orders/9/tier"
    assert told("/orders/12") == "/orders/12"
    assert told("/colours/cream or moss/hex") == HERE
    same = [Problem("/orders/1", "words", "remedy")]
    assert as_it_stood(same, {}) is same


def test_a_second_vote_counts_what_the_first_has_left() -> None:
    """Names that are taken are numbered; pointers go back through both rewritings."""
    data = document()
    data["uncertainty"]["settled"]["second"] = json.loads(json.dumps(data["uncertainty"]["settled"]["late choices"]))
    second = data["uncertainty"]["settled"]["second"]["outcomes"]["moss"]["moves"][0]
    second["orders"] = 400
    campaign = read(data)
    assert lines(campaign)[:3] == [("cream", 2000), ("cream or moss 2", 400), ("cream or moss", 600)]
    _, places, _ = with_open_orders(Campaign.model_validate(data))
    assert [places[f"/orders/{n}"] for n in range(1, 5)] == ["/orders/0", "/orders/0", "/orders/1", "/orders/2"]
