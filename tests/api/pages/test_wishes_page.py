"""The page of wishes: what became of each, its price, one more said in a form, one taken back with a click."""

import html
import json
import re

import pytest

from examples.situations import campaign_of, plan_of
from tests.api.plan_fixtures import publish


@pytest.fixture(scope="module")
def made():
    return campaign_of("wishes"), plan_of("wishes")


@pytest.fixture
def plan_id(app, made):
    return publish(app.service, *made)


def wishes_of(app, address):
    """The wishes of the campaign that a plan's page stands for."""
    plan_id = address.rpartition("/")[2]
    return json.loads(app.client.get(f"/v1/plans/{plan_id}/campaign").content).get("wishes", [])


def test_each_wish_with_what_became_of_it(app, plan_id, made):
    text = app.client.get(f"/plans/{plan_id}/wishes").text
    for line in made[1].wishes:
        assert html.escape(line.words) in text
    assert text.count("Take back: ") == len(made[1].wishes)
    assert "refused" in text
    assert html.escape(made[1].wishes[5].because) in text
    assert "the robot stands there" in text
    assert f'href="/plans/{plan_id}/wishes"' in app.client.get(f"/plans/{plan_id}").text


def test_one_click_takes_a_wish_back(app, plan_id, made):
    """Planned again without it, all others stay; the same click once more takes nothing else back."""
    line = made[1].wishes[5]
    click = {"what": line.words}
    answer = app.client.post(f"/plans/{plan_id}/wishes/5/back", data=click, follow_redirects=False)
    assert answer.status_code == 303
    left = wishes_of(app, answer.headers["location"])
    assert len(left) == len(made[1].wishes) - 1
    assert not any(wish.get("done_by") for wish in left)
    again = app.client.post(f"/plans/{plan_id}/wishes/5/back", data=click, follow_redirects=False)
    assert again.headers["location"] == f"/plans/{plan_id}/wishes"
    assert wishes_of(app, answer.headers["location"]) == left


def test_one_wish_more(app, plan_id):
    text = app.client.get(f"/plans/{plan_id}/wishes").text
    runs = [html.unescape(value) for value in re.findall(r'<option value="([^"]*tool[^"]*)"', text)]
    foot = next(value for value in runs if json.loads(value) == {"tool": "foot"})
    said = {"kind": "done_by", "runs": foot, "day": "2027-01-20", "time": "12:00", "why": "a fair"}
    answer = app.client.post(f"/plans/{plan_id}/wishes", data=said, follow_redirects=False)
    assert answer.status_code == 303, answer.text
    added = {name: value for name, value in wishes_of(app, answer.headers["location"])[-1].items() if value}
    assert added == {"runs": {"tool": "foot"}, "done_by": "2027-01-20T12:00", "why": "a fair"}


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({}, "choose what is wished for"),
        ({"kind": "press", "runs": '{"tool": "foot"}'}, "is needed for this wish"),
        ({"kind": "done_by", "runs": '{"tool": "foot"}', "day": "someday"}, "'someday' is no day; write 2027-02-19"),
        (
            {"kind": "not_before", "runs": '{"tool": "foot"}', "day": "2027-01-20", "time": "25:10"},
            "'25:10' is no time",
        ),
        ({"kind": "not_before", "runs": '{"tool": "foot"}', "day": "2027-01-20", "time": "soon"}, "'soon' is no time"),
        ({"kind": "free", "press": "big", "day": "2027-01-20", "until": "easter"}, "'easter' is no day"),
        ({"kind": "done_by", "runs": "foot", "day": "2027-01-20"}, "choose one of the list"),
        ({"kind": "press", "runs": '{"tool": "pot"}', "press": "small"}, "wish"),
    ],
)
def test_what_makes_no_wish_is_said_beside_its_field(app, plan_id, said, told):
    answer = app.client.post(f"/plans/{plan_id}/wishes", data=said, follow_redirects=False)
    assert answer.status_code == 422
    assert told in html.unescape(answer.text)


FOOT, CREAM_FOOT, POT = '{"tool": "foot"}', '{"tool": "foot", "colours": ["cream"]}', '{"tool": "pot"}'


@pytest.mark.parametrize(
    ("said", "wish"),
    [
        ({"kind": "press", "runs": FOOT, "press": "small"}, {"runs": {"tool": "foot"}, "press": "small"}),
        ({"kind": "not_before", "runs": CREAM_FOOT, "day": "20. Jan. 2027", "time": "8 Uhr"},
         {"runs": {"tool": "foot", "colours": ["cream"]}, "not_before": "2027-01-20T08:00"}),
        ({"kind": "done_by", "runs": FOOT, "day": "20 Jan 2027 4pm"},
         {"runs": {"tool": "foot"}, "done_by": "2027-01-20T16:00"}),
        ({"kind": "then", "runs": FOOT, "others": POT}, {"runs": {"tool": "foot"}, "then": {"tool": "pot"}}),
        ({"kind": "together", "runs": CREAM_FOOT, "others": POT},
         {"together": [{"tool": "foot", "colours": ["cream"]}, {"tool": "pot"}]}),
        ({"kind": "first_colour", "colour": "cream"}, {"first_colour": "cream"}),
        ({"kind": "free", "press": "small", "day": "Jan 21, 2027", "until": "22 Jan 2027"},
         {"press": "small", "free_from": "2027-01-21", "free_until": "2027-01-22"}),
    ],
)  # fmt: skip
def test_each_kind_is_said_on_the_page(app, plan_id, said, wish):
    answer = app.client.post(f"/plans/{plan_id}/wishes", data=said, follow_redirects=False)
    assert answer.status_code == 303, html.unescape(answer.text)[-3000:]
    assert wishes_of(app, answer.headers["location"])[-1] == wish
