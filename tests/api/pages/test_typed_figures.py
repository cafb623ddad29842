"""Figures are taken on every page as people write them; what is none is told beside its field."""

import html

import pytest

from api.pages.typed import amount, whole
from tests.api.plan_fixtures import publish_pots
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan

RUN = pot_plan().runs[1]
TOOL = next(iter(pot_campaign().tools))


@pytest.mark.parametrize(
    ("path", "typed", "entry"),
    [
        ("press", {"what": "shots", "run": RUN.id, "shots": "1,200 shots"}, {"shots": 1200}),
        ("press", {"what": "purge", "run": RUN.id, "kg": "950 g"}, {"kg": 0.95}),
        ("press", {"what": "downtime", "run": RUN.id, "hours": "45 min"}, {"hours": 0.75}),
        ("press", {"what": "downtime", "run": RUN.id, "hours": "0,5", "at": "2027-01-12 8am"}, {"hours": 0.5}),
        ("log", {"what": "delivery", "thing": "resin pp", "amount": "25 kg"}, {"amount": 25}),
        ("log", {"what": "delivery", "thing": "piece carton", "amount": "1,000"}, {"amount": 1000}),
        ("log", {"what": "tool", "tool": TOOL, "ready": "26 Feb 2027"}, {"ready": "2027-02-26"}),
    ],
)
def test_the_log_takes_figures_as_they_are_written(app, path, typed, entry):
    plan_id = publish_pots(app.service)
    answer = app.client.post(f"/plans/{plan_id}/{path}", data=typed, follow_redirects=False)
    assert answer.status_code == 303, html.unescape(answer.text)[-3000:]
    [one] = app.client.get(f"/v1/plans/{plan_id}/actuals").json()["entries"]
    for name, value in entry.items():
        assert str(one["entry"][name])[: len(str(value))] == str(value)


@pytest.mark.parametrize(
    ("path", "typed", "field"),
    [
        ("press", {"what": "purge", "run": RUN.id, "kg": "1,200"}, "kg"),
        ("press", {"what": "shots", "run": RUN.id, "shots": "12.5"}, "shots"),
        ("what-if", {f"tool.{TOOL}.days": "soon"}, f"tool.{TOOL}.days"),
        ("what-if", {f"tool.{TOOL}.days": "1.5"}, f"tool.{TOOL}.days"),
        ("wishes", {"kind": "done_by", "runs": "{}", "day": "2/3/2027"}, "day"),
    ],
)
def test_what_is_none_or_could_be_two_is_told_beside_its_field(app, path, typed, field):
    plan_id = publish_pots(app.service)
    answer = app.client.post(f"/plans/{plan_id}/{path}", data=typed, follow_redirects=False)
    assert answer.status_code == 422
    assert f'id="{field}-problem"' in answer.text


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({f"tool.{TOOL}.days": "2 weeks"}, "14 days later"),
        ({"press.p1.saturday": "8am-2pm"}, "on Saturdays 08:00-14:00"),
        ({"press.p1.longer": "90 min"}, "1.5 h longer"),
    ],
)
def test_what_if_takes_them_too(app, typed, said):
    plan_id = publish_pots(app.service)
    press = next(iter(pot_campaign().presses))
    typed = {name.replace("p1", press): value for name, value in typed.items()}
    answer = app.client.post(f"/plans/{plan_id}/what-if", data=typed, follow_redirects=False)
    assert answer.status_code == 303, html.unescape(answer.text)[-2000:]
    made = answer.headers["location"].rpartition("/")[2]
    assert said in app.client.get(f"/v1/plans/{made}").json()["title"]


def test_a_count_is_whole_and_an_amount_has_its_unit():
    problems: dict[str, str] = {}
    assert whole("1 200", "n", problems) == 1200
    assert amount("50 %", "share", problems, "percent") == 50
    assert problems == {}
    assert whole("", "n", problems) is None
    assert whole("-3", "n", problems) is None
    assert amount("", "kg", problems, "kg") is None
    assert set(problems) == {"n", "kg"}
