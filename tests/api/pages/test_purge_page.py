"""The purge page: the colour changes of a tool on a barrel, and real changes written down beside it."""

import re

from tests.api.plan_fixtures import publish_pots
from tests.support.pot_campaign import pot_campaign

PLACE = '["small", "one", 1]'


def test_the_picture_and_every_place_are_there(app):
    """Each tool on each press that takes it can be chosen; the picture says kilograms."""
    text = app.client.get(f"/plans/{publish_pots(app.service)}/purge").text
    for tool in pot_campaign().tools:
        assert f">{tool} " in text
    assert "Colour changes on barrel 1 of one" in text
    assert text.count("<title>What may follow pp/white</title>") == 2, "for a wide page and for a phone"
    ids = re.findall(r'<pattern id="([^"]+)"', text)
    assert len(ids) == len(set(ids)), "one picture never takes another's patterns"
    assert set(re.findall(r"url\(#([^)]+)\)", text)) <= set(ids)


def test_a_change_written_down_stands_in_the_log(app):
    """What the moulder counted is in the workshop's purge log of the API."""
    plan_id = publish_pots(app.service)
    typed = {"place": PLACE, "before": "pp/white", "after": "pp/sage", "shots": "74"}
    answer = app.client.post(f"/plans/{plan_id}/purge", data=typed)
    assert answer.status_code == 200
    [entry] = app.client.get("/v1/purge/log").json()["entries"]
    assert (entry["entry"]["shots"], entry["entry"]["tool"], entry["entry"]["to"]) == (74, "small", "pp/sage")
    assert "74 shots" in answer.text


def test_what_cannot_be_read_stands_beside_its_field(app):
    """And what was typed is kept."""
    plan_id = publish_pots(app.service)
    for typed, field in (
        ({"shots": "many"}, "shots"),
        ({"kg": "2,5,1"}, "kg"),
        ({}, "shots"),
        ({"after": "pp/white", "shots": "4"}, "after"),
    ):
        data = {"place": PLACE, "before": "pp/white", "after": "pp/sage"} | typed
        answer = app.client.post(f"/plans/{plan_id}/purge", data=data)
        assert answer.status_code == 422
        assert re.search(f'id="{field}-problem"', answer.text), (typed, field)
        for value in typed.values():
            assert f'value="{value}"' in answer.text or f"selected>{value}<" in answer.text
    assert app.client.get("/v1/purge/log").json()["entries"] == []
