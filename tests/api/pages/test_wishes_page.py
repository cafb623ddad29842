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
        ({"kind": "done_by", "runs": '{"tool": "foot"}', "day": "someday"}, "valid"),
        ({"kind": "done_by", "runs": "foot", "day": "2027-01-20"}, "choose one of the list"),
        ({"kind": "press", "runs": '{"tool": "pot"}', "press": "small"}, "wish"),
    ],
)
def test_what_makes_no_wish_is_said_beside_its_field(app, plan_id, said, told):
    answer = app.client.post(f"/plans/{plan_id}/wishes", data=said, follow_redirects=False)
    assert answer.status_code == 422
    assert told in html.unescape(answer.text)
