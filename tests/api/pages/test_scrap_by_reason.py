"""Scrap by its reason: written at the press as people say it, counted, and never more than was made."""

import pytest

from api.pages.scrap_reasons import by_reason
from tests.api.plan_fixtures import publish_pots
from tests.support.pot_plan import pot_plan


@pytest.mark.parametrize(
    ("text", "scrap", "found"),
    [
        ("", 3, {}),
        ("flash", 3, {"flash": 3}),
        ("flash", None, {}),
        ("3 flash, 2 short shot", 5, {"flash": 3, "short shot": 2}),
        ("3x flash; 2 × burns; 1 flash", 9, {"flash": 4, "burns": 2}),
        ("12 zu kurz gespritzt", None, {"zu kurz gespritzt": 12}),
    ],
)
def test_reasons_are_counted_as_they_are_said(text, scrap, found):
    problems: dict[str, str] = {}
    assert by_reason(text, scrap, problems) == found
    assert problems == {}


def test_a_reason_without_its_figure_or_more_than_was_scrapped_is_asked_about():
    problems: dict[str, str] = {}
    by_reason("3 flash, burns", 5, problems)
    assert "burns" in problems["why"]
    problems.clear()
    by_reason("3 flash, 4 burns", 5, problems)
    assert problems["why"] == "7 parts by reason, but only 5 scrapped"


def test_scrap_by_reason_is_written_down_and_shown(app):
    """At the press, in the log, and in what the API gives out; more scrap than parts is refused there too."""
    plan_id = publish_pots(app.service)
    run = pot_plan().runs[0]
    part = run.parts[0].part
    sent = {"run": run.id, "what": "shots", "shots": "20", f"scrap-{part}": "5", "why": "3 flash, 2 short shot"}
    assert app.client.post(f"/plans/{plan_id}/press", data=sent, follow_redirects=False).status_code == 303
    (logged,) = app.client.get(f"/v1/plans/{plan_id}/actuals").json()["entries"]
    assert logged["entry"]["scrap_by"] == {"flash": 3, "short shot": 2}
    page = app.client.get(f"/plans/{plan_id}/press?run={run.id}").text
    assert "Scrap: 3 flash, 2 short shot" in " ".join(page.split())
    assert "scrap: 3 flash, 2 short shot" in " ".join(app.client.get(f"/plans/{plan_id}/log").text.split())
    wrong = app.client.post(f"/plans/{plan_id}/press", data=sent | {"why": "9 flash"})
    assert wrong.status_code == 422
    assert "9 parts by reason, but only 5 scrapped" in wrong.text
    entry = logged["entry"] | {"scrap_by": {"flash": 100_000}}
    refused = app.client.post(f"/v1/plans/{plan_id}/actuals", json={"entries": [entry]})
    assert refused.status_code == 422
    assert refused.json()["errors"][0]["pointer"] == "/entries/0/scrap_by"
