"""GET /v1/plans/{id}/colour-changes: one barrel of a plan's own campaign, in three forms."""

import pytest

from planner.purge.figures import campaign_figures
from tests.api.plan_fixtures import publish_pots
from tests.api.purge.asking import kilograms, texts
from tests.support.pot_campaign import pot_campaign


@pytest.fixture
def here(app):
    return f"/v1/plans/{publish_pots(app.service)}/colour-changes"


def test_they_are_those_the_schedule_uses(app, here):
    """The lid's press: what is given for white to sage, and the estimate back."""
    said = app.client.get(f"{here}?tool=small").json()
    assert (said["barrel"]["press"], said["currency"]) == ("one", "EUR")
    kg = campaign_figures(pot_campaign(), ["pp/sage", "pp/white"])["one", 0].kg
    assert kilograms(said) == {("pp/sage", "pp/white"): kg[0, 1], ("pp/white", "pp/sage"): 1.25}
    given = next(change for change in said["changes"] if change["basis"] == "given")
    # 1.25 kg into the open at 36.38 x 0.1 x 0.74 / 0.945 kg/h;
    # melt 1.6 and 2 % of masterbatch at 9, disposal 0.2, press 36, setter 30
    assert given["shots"] == 0
    assert given["minutes"] == pytest.approx(1580 / 60, abs=0.01)
    melt = 1.6 * 0.98 + 9 * 0.02
    assert given["money"] == pytest.approx(1.25 * (melt + 0.2) + 1580 / 3600 * 66, abs=0.01)


def test_the_hot_runner_is_in_it(app, here):
    """0.05 kg behind 0.6 kg: a twelfth more, for estimates."""
    said = app.client.get(f"{here}?tool=shell&press=two&barrel=1").json()
    kg = campaign_figures(pot_campaign(), ["pp/sage", "pp/white"])["two", 0].kg
    assert kilograms(said)["pp/sage", "pp/white"] == pytest.approx(kg[0, 1] * 0.65 / 0.6, abs=0.002)


def test_as_a_picture_and_as_a_list(app, here):
    words = texts(app.client.get(f"{here}?tool=small", headers={"Accept": "image/svg+xml"}).text)
    assert {"sage", "white", "your figure"} <= set(words)
    assert any("all colours in pp" in word for word in words)
    assert app.client.get(f"{here}?tool=small", headers={"Accept": "text/csv"}).text.count("\n") == 3
    assert app.client.get(f"{here}?tool=small", headers={"Accept": "image/png"}).status_code == 406


def test_the_picture_is_in_the_language_asked_for(app, here):
    """German where it is asked for, and English without; pounds where they are."""
    german, english, pounds = (
        " ".join(texts(app.client.get(f"{here}?tool=small{more}", headers={"Accept": "image/svg+xml"}).text))
        for more in ("&language=de", "", "&weights=lb")
    )
    assert "all colours in pp" not in german
    assert "alle Farben in pp" in german
    assert "all colours in pp" in english
    assert "1.1\u202flb of melt" in pounds
    assert "lb" not in english


def test_a_melt_without_a_look_alone_in_its_barrel(app, here):
    """The clear rim: nothing to change, nothing to purge."""
    said = app.client.get(f"{here}?tool=shell&barrel=2").json()
    assert (said["changes"], [melt["melt"] for melt in said["melts"]]) == ([], ["tpe/clear"])


@pytest.mark.parametrize(
    ("query", "name"),
    [("tool=x", "tool"), ("tool=small&press=two", "press"), ("tool=small&barrel=2", "barrel"), ("", "tool")],
)
def test_what_does_not_fit_is_named(app, here, query, name):
    answer = app.client.get(f"{here}?{query}")
    assert answer.status_code == 422
    assert [error["pointer"] for error in answer.json()["errors"]] == [name]


def test_the_address_before_leads_to_the_new_one(app, here):
    """With its parameters; a plan that nobody has is not found there either."""
    before = here.replace("colour-changes", "purge-matrix")
    there = app.client.get(f"{before}?tool=small", follow_redirects=False)
    assert (there.status_code, there.headers["location"]) == (308, f"{here}?tool=small")
    assert app.client.get(f"{before}?tool=small").json() == app.client.get(f"{here}?tool=small").json()
    assert app.client.get(f"/v1/plans/{'0' * 26}/purge-matrix").status_code == 404
