"""What can hurt is said where somebody relies on it; a clamp force nobody has said is asked for in every place of the
table in docs/decisions/0012, and in none of them where it is said."""

import html
import json
import re

import pytest

from api.demo import DEMO, HERE, SITUATIONS
from planner.campaign import Campaign
from tests.api.plan_fixtures import publish
from tests.planner.plan.test_others_work import ACETAL, document, planned


def text_of(answer) -> str:
    assert answer.status_code == 200, answer.text
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.text)))


@pytest.fixture(scope="module")
def made():
    return {kn: planned(document([], tool={"clamp_kn": kn})) for kn in (0, 300)}


PLACES = {
    "": "What clamp force does saucer ask for? Nobody has said, so it was not checked",
    "/press": "Nobody has said what clamp force saucer asks for: do not mount it before that was worked out",
    "/runs/{run}": "nobody has said: it was not checked that p can hold saucer shut",
    "/runs/{run}#": "work out the clamp force of saucer; mount saucer",
    "#today": "work out the clamp force of saucer, which nobody has said, mount saucer",
    "#cautions": "it was not checked that its press can hold it shut (500 kN in p)",
}


@pytest.mark.parametrize("place", PLACES)
def test_every_page_asks_for_it_and_only_where_nobody_said(app, made, place):
    for kn, (campaign, plan) in made.items():
        plan_id = publish(app.service, campaign, plan)
        (run,) = plan.runs
        where = place.partition("#")[0].replace("{run}", run.id)
        day = f"?on={run.start.date()}" if place == "#today" else ""
        assert (PLACES[place] in text_of(app.client.get(f"/plans/{plan_id}{where}{day}"))) == (kn == 0)


def test_the_question_leads_to_the_form_and_the_form_asks(app, made):
    plan_id = publish(app.service, *made[0])
    asked = re.search(r'<p class="problem" id="clamp">.*?</p>', app.client.get(f"/plans/{plan_id}").text, re.DOTALL)
    assert asked
    assert f'href="/plans/{plan_id}/change#tools"' in asked[0]
    form = app.client.get(f"/plans/{plan_id}/change")
    assert 'id="tools"' in form.text
    assert "Clamp force: projected area x pressure in the cavity; blank: not checked" in text_of(form)


def test_what_can_hurt_stands_on_the_runs_page_and_the_press_leads_there(app):
    """Acetal that is cleared, at the heat that suits both (PE flows from 182, acetal from 190, and stands 230)."""
    campaign, plan = planned(document([], resins=ACETAL, resin="pom"))
    plan_id, run = publish(app.service, campaign, plan), plan.runs[0]
    press = app.client.get(f"/plans/{plan_id}/press?run={run.id}")
    assert "clear barrel 1 with 1.50 kg of pe/clear. It goes in at 190 to 230 °C." in text_of(press).replace(
        "\u202f", " "
    )
    assert f'href="/plans/{plan_id}/runs/{run.id}#cautions"' in press.text
    page = text_of(app.client.get(f"/plans/{plan_id}/runs/{run.id}"))
    for said in ("What can hurt here", "formaldehyde", "they decompose violently", "at 190 to 230 °C"):
        assert said in page


def test_documents_say_it(app, made):
    """The plan as programs read it, its paper, and the reference of the campaign document."""
    plan_id = publish(app.service, *made[0])
    told = app.client.get(f"/v1/plans/{plan_id}").json()["plan"]["cautions"]
    assert any(one["about"] == "clamp saucer" and "not checked" in one["text"] for one in told)
    (sheet,) = app.client.get(f"/v1/plans/{plan_id}/paper").json()["runs"]
    assert sheet["settings"]["clamp_kn"] is None
    assert "clamp saucer" in {one["about"] for one in sheet["cautions"]}
    said = Campaign.model_json_schema()["$defs"]["Tool"]["properties"]["clamp_kn"]["description"]
    assert "0: not said, so not checked; the plan asks for it before the tool is mounted" in said


@pytest.mark.parametrize(
    "path", [DEMO, HERE / "starter.json", *sorted(SITUATIONS.glob("*.json"))], ids=lambda p: p.stem
)
def test_what_people_write_over_says_its_clamp_forces(path):
    tools = json.loads(path.read_text(encoding="utf-8"))["tools"]
    assert all(tool.get("clamp_kn") for tool in tools.values())
