"""Days that are over and figures far from any workshop's are asked about, and planned once somebody says so."""

import copy
import html
import re
from datetime import date

import pytest

from api.demo import EXAMPLES
from api.pages import shorthand
from api.pages.doubtful import all_said, boxes, doubts
from api.pages.form_document import make
from api.pages.form_filled import filled_from
from api.pages.form_rows import read as read_form
from planner.campaign.differences import differences
from planner.reading import read
from tests.api.pages.test_growing_form import ROWS, sent

NOW = date(2027, 1, 4)


def boxes_in(text: str) -> list[str]:
    """What the boxes of a form would send."""
    return [html.unescape(value) for value in re.findall(r'name="sure" value="([^"]*)"', text)]


@pytest.mark.parametrize(
    ("field", "typed", "asked"),
    [
        ("tools.0.cycle_s", "4400", "cycles take"),
        ("tools.0.cycle_s", "0.44", "cycles take"),
        ("presses.0.clamp_kn", "3", "presses clamp"),
        ("parts.0.mass_g", "62 kg", "parts weigh"),
        ("tiers.0.promised", "2026-02-26", "Thu 26 Feb 2026 is over"),
        ("tiers.0.promised", "2036-02-26", "years away"),
        ("start", "2026-11-30T06:00", "Mon 30 Nov 2026 is over"),
        ("orders.0.count", "1,200,000", "seldom over 200,000"),
        ("resins.0.price_breaks", "500 at 1.50; 1000 at 17.5", "on each costs 17.5, and before that 1.5"),
        ("colours.0.price_breaks", "10 at 80", "More usually costs less"),
    ],
)
def test_it_is_asked_beside_its_field_and_planned_when_it_is_right(app, field, typed, asked):
    form = sent({field: typed})
    answer = app.client.post("/start/form", data=form, follow_redirects=False)
    text = html.unescape(answer.text)
    assert answer.status_code == 422
    assert asked in text.partition(f'id="{field}-problem"')[2][:300]
    [box] = boxes_in(answer.text)
    assert app.client.get("/v1/plans").json()["plans"] == []
    draft = dict(re.findall(r'name="(draft|edition)" value="([^"]*)"', answer.text))
    again = app.client.post("/start/form", data=form | draft | {"sure": "another thing"}, follow_redirects=False)
    assert again.status_code == 422
    draft = dict(re.findall(r'name="(draft|edition)" value="([^"]*)"', again.text))
    planned = app.client.post("/start/form", data=form | draft | {"sure": box}, follow_redirects=False)
    refused_for_other_reasons = planned.status_code == 422 and not boxes_in(planned.text)
    assert planned.status_code == 303 or refused_for_other_reasons, planned.text


def test_prices_that_rise_are_asked_about_again_once_they_are_other_ones():
    """A ticked box holds for just these prices: those below the first break belong to them."""
    rows = {"pieces": [{"id": "felt", "price": "0.50", "lead_days": "5", "price_breaks": "100 at 0.40; 500 at 0.45"}]}
    made = make(read_form(sent(rows={**ROWS, **rows})))
    field = "pieces.0.price_breaks"
    assert list(doubts(made, NOW, set())) == [field]
    sure = {boxes(made, doubts(made, NOW, set()))[field]}
    assert doubts(made, NOW, sure) == doubts(made, NOW, all_said(made)) == {}
    for other in ({"price_breaks": "100 at 0.40; 500 at 0.46"}, {"price": "0.30"}):
        again = make(read_form(sent(rows={**ROWS, "pieces": [rows["pieces"][0] | other]})))
        assert list(doubts(again, NOW, sure)) == [field]
    falling = make(read_form(sent(rows={**ROWS, "pieces": [rows["pieces"][0] | {"price_breaks": "500 at 0.45"}]})))
    assert doubts(falling, NOW, set()) == {}


def test_units_in_hand_whose_parts_are_not_are_asked_about():
    """They would be moulded again. Said in hand too, nothing is asked."""
    rows = copy.deepcopy(ROWS)
    product = rows["products"][0]
    product["assembled"] = f"{rows['colourways'][0]['id']} x10"
    made = make(read_form(sent(rows=rows)))
    (field, asked), *_ = doubts(made, NOW, set()).items()
    assert field == "products.0.assembled"
    assert "are in what is put together, 0 are in hand, is that right?" in asked
    sure = {boxes(made, {field: asked})[field]}
    assert doubts(made, NOW, sure) == doubts(made, NOW, all_said(made)) == {}
    (unit,) = made.document["products"].values()
    inside = unit["colourways"][rows["colourways"][0]["id"]]
    for part in rows["parts"]:
        number = 10 * unit["parts"].get(part["id"], 0)
        part["stock"] = f"{' + '.join(inside[part['id']])} x{number}" if number else ""
    assert doubts(make(read_form(sent(rows=rows))), NOW, set()) == {}


def test_a_usual_campaign_is_not_asked_about():
    """No example is, whatever day it is today."""
    for now in (NOW, date(2031, 7, 15)):
        for example in EXAMPLES.values():
            if example.name != "clock-change":
                made = make(filled_from(example.beginning(now)))
                assert doubts(made, now, set()) == {}, example.name


def test_the_starter_fills_the_form_and_can_be_planned_as_it_is(app):
    """What the form makes of it is the same campaign, begun next Monday."""
    document = EXAMPLES["starter"].beginning(NOW)
    assert document["start"] == "2027-01-11T06:00"
    again = make(filled_from(document))
    assert again.problems == []
    one, other = (read(each).model_dump(mode="json") for each in (document, again.document))
    assert list(differences(one, other)) == []
    text = app.client.get("/start/form?example=starter").text
    assert 'value="hired press"' in text
    form = {html.unescape(name): html.unescape(value)
            for name, value in re.findall(r'<input id="[^"]*" name="([^"]*)" value="([^"]*)"', text)}  # fmt: skip
    planned = app.client.post("/start/form", data=form | {"do": "plan"}, follow_redirects=False)
    assert planned.status_code == 303, planned.text


def test_every_example_can_be_planned_from_the_start_page(app):
    text = app.client.get("/start").text
    for example in EXAMPLES.values():
        assert f'<option value="{example.name}">{html.escape(example.title, quote=False)}'.replace("'", "&#39;") in text
    for name in ("wishes", "add-ons-only"):
        answer = app.client.post("/start/example", data={"name": name}, follow_redirects=False)
        assert answer.status_code == 303, answer.text
        where = answer.headers["location"]
        assert app.client.get(f"{where}/change").status_code == 200
    assert app.client.post("/start/example", data={"name": "../secret"}).status_code == 404


@pytest.mark.parametrize(
    ("text", "look", "reference"),
    [
        ("#8fa58a", "#8fa58a", ""), ("8FA58A", "#8FA58A", ""), ("#abc", "#aabbcc", ""),
        ("#8fa58a, book 6021", "#8fa58a", "book 6021"), ("6021 (#8fa58a)", "#8fa58a", "6021"),
        ("book 342 C", "", "book 342 C"), ("a warm grey", "", "a warm grey"), ("", "", ""),
    ],
)  # fmt: skip
def test_a_colour_book_reference_is_kept_as_text_beside_its_look(text, look, reference):
    assert shorthand.look(text) == (look, reference)


def test_the_reference_is_shown_where_colour_is_bought(app):
    answer = app.client.post("/start/form", data=sent({"colours.0.hex": "#8fa58a, book 6021"}), follow_redirects=False)
    assert answer.status_code == 303, answer.text
    plan_id = answer.headers["location"].rpartition("/")[2]
    colour = app.client.get(f"/v1/plans/{plan_id}/campaign").json()["colours"]["sage"]
    assert (colour["hex"], colour["reference"]) == ("#8fa58a", "book 6021")
    assert 'value="#8fa58a, book 6021"' in app.client.get(f"/plans/{plan_id}/change").text
