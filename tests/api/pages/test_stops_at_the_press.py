"""Stops at the press: with their reason, added up there, and told in the log."""

from api.pages.scrap_reasons import stopped_by_reason
from tests.api.plan_fixtures import publish_pots


def test_hours_are_added_up_by_reason():
    stops = [
        {"what": "downtime", "hours": h, "note": note} for h, note in ((0.5, "no setter"), (1, ""), (0.25, "no setter"))
    ]
    assert stopped_by_reason([*stops, {"what": "shots"}]) == {"no setter": 0.75, "": 1}
    assert stopped_by_reason([]) == {}


def test_a_stop_is_shown_with_its_reason_and_words_to_choose_from(app):
    """On the page, in German too, and in the log as it was typed."""
    here = f"/plans/{publish_pots(app.service)}"
    page = app.client.get(f"{here}/press").text
    assert "Stood still:" not in page
    assert '<option value="no setter">' in page
    app.client.post(f"{here}/press", data={"what": "downtime", "hours": "1.5", "why": "belt broke"})
    app.client.post(f"{here}/press", data={"what": "downtime", "hours": "0.5", "why": "belt broke"})
    assert "2 h belt broke" in app.client.get(f"{here}/press").text.replace("\u202f", " ").replace("\xa0", " ")
    german = app.client.get(f"{here}/press", headers={"accept-language": "de"}).text
    assert "Stillstand:" in german
    assert '<option value="kein Einrichter">' in german
    assert "belt broke" in app.client.get(f"{here}/log").text
