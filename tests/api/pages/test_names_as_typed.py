"""Names stay as their maker typed them: on every page, sheet, list, label and picture, whatever they hold."""

import csv
import html
import io
import json
import re

import pytest

from api.pictures.drawing import cut_apart, text_width
from planner.control import Unhurried
from planner.plan.run_names import RunNames, ordinal
from planner.planning.make import make_plan
from tests.api.page_addresses import LEAVES
from tests.api.plan_fixtures import publish
from tests.support.nasty_names import LONG, NAMES, nasty_pots


@pytest.fixture(scope="module")
def planned():
    """The campaign under nasty names and a plan of it."""
    campaign = nasty_pots()
    quick = campaign.planning.model_copy(update={"rounds": 0})
    campaign = campaign.model_copy(update={"planning": quick})
    return campaign, make_plan(campaign, Unhurried())


@pytest.fixture
def plan_id(app, planned):
    return publish(app.service, *planned)


def test_the_auditor_holds_a_plan_of_them(planned):
    """Names are nowhere cut, so that search and auditor speak of the same things."""
    _, plan = planned
    assert plan.audit.holds
    assert {run.press for run in plan.runs} == set(NAMES["presses"].values())
    assert {part.part for run in plan.runs for part in run.parts} == set(NAMES["parts"].values())


@pytest.mark.parametrize("leaf", [leaf for leaf in LEAVES if leaf != "/runs/r1"])  # a run of another plan
def test_every_page_says_them(app, plan_id, leaf):
    """Escaped once, never twice; no id of a run is read anywhere."""
    answer = app.client.get(f"/plans/{plan_id}{leaf}")
    assert answer.status_code == 200, answer.text
    read = html.unescape(re.sub(r"<[^>]*>", " ", answer.text))
    assert "&amp;" not in read
    assert "<2-shot>" not in answer.text
    assert not re.findall(r"(?<![\w=#-])run-\d+", read)


def test_lists_say_them(app, plan_id):
    """In spreadsheets too; what would be calculated there is kept from it."""
    texts = {}
    for one in app.client.get(f"/v1/plans/{plan_id}/lists").json()["lists"]:
        content = app.client.get(one["csv"]).content.decode("utf-8-sig")
        texts[one["name"]] = list(csv.DictReader(io.StringIO(content)))
    assert {row["Part"] for row in texts["Parts"]} == set(NAMES["parts"].values())
    assert {row["Piece"] for row in texts["Pieces"]} == {"'=Leaflet", NAMES["pieces"]["carton"]}
    assert {row["Tier"] for row in texts["Tiers"]} == set(NAMES["tiers"].values())
    assert texts["Runs"][0]["Run"].endswith("first run on Press 7, by the door")


def test_paper_labels_and_calendar_say_them(app, plan_id):
    """The sheets as data, what the labels hold, and the summaries of events."""
    paper = json.dumps(app.client.get(f"/v1/plans/{plan_id}/paper").json(), ensure_ascii=False)
    assert "Shell <2-shot>, oat and Klar + nichts, second run on מכונה גדולה" in paper
    assert app.client.get(f"/v1/plans/{plan_id}/paper.pdf").content.startswith(b"%PDF")
    labels = app.client.get(f"/v1/plans/{plan_id}/labels.csv").text
    assert "🌿 Topf, klein Salbei & Hafer" in labels
    calendar = app.client.get(f"/v1/plans/{plan_id}/calendar.ics?what=all").text.replace("\r\n ", "")
    assert "Lid & clips: family" in calendar


def test_what_the_form_is_filled_with_plans_the_same(app, plan_id):
    """Sent back as it is, nothing has changed; one press renamed, only that."""
    page = app.client.get(f"/plans/{plan_id}/change").text
    fields = {html.unescape(name): html.unescape(value) for name, value in
              re.findall(r'<input[^>]* name="([^"]*)" value="([^"]*)"', page)}  # fmt: skip
    before = app.client.get(f"/v1/plans/{plan_id}/campaign").json()
    [press] = [name for name, value in fields.items() if re.fullmatch(r"presses\.\d\.id", name) and value[0] == "P"]
    answer = app.client.post(
        f"/plans/{plan_id}/change", data=fields | {press: "Press 8 / new", "do": "plan"}, follow_redirects=False
    )
    assert answer.status_code == 303, re.findall(r'class="problem"[^>]*>([^<]*)', answer.text)
    new_id = answer.headers["location"].rpartition("/")[2]
    after = app.client.get(f"/v1/plans/{new_id}/campaign").json()
    for document in (before, after):
        document.pop("planning", None)
    assert after == json.loads(json.dumps(before).replace("Press 7, by the door", "Press 8 / new"))


def test_pictures_never_make_two_names_equal():
    """Cut to what fits, and told apart: by the middle, by the end, or numbered."""
    names = [LONG, LONG + " 2", LONG.replace("tall", "wide"), "Bowl", "bowl", "碗" * 40, "🌿" * 30]
    shown = cut_apart(names, 110)
    assert len(set(shown.values())) == len(names)
    assert all(text_width(text) <= 125 for text in shown.values())
    assert shown["Bowl"] == "Bowl"


def test_runs_are_numbered_as_people_count(planned):
    """`third`, `11th`, `22nd`; by press, in order of time; a maker's own `run-1` is never taken for ours."""
    assert [ordinal(n) for n in (1, 3, 10, 11, 12, 13, 21, 22, 101, 111)] == [
        "first", "third", "tenth", "11th", "12th", "13th", "21st", "22nd", "101st", "111th"]  # fmt: skip
    _, plan = planned
    called = RunNames(plan.runs)
    first = plan.runs[0]
    assert called.with_names(f"press {first.press} ({first.id})") == f"press {first.press} (first run)"
    assert called.with_names(f"waits for {first.id}") == f"waits for {called[first.id]}"
    assert called.with_names("run-99, my-run-1") == "run-99, my-run-1"
    ours = [run.model_copy(update={"tool": "run-1"}) for run in plan.runs]
    assert RunNames(ours).with_names("tool run-1") == "tool run-1"


def test_marks_over_a_letter_take_no_room():
    """Unicode Standard, 2.11: a combining character has no width of its own; an ideograph is wider than a letter."""
    assert text_width("e\u0301" * 5) == pytest.approx(text_width("e" * 5))
    assert text_width("碗") == pytest.approx(1.8 * text_width("e"))
