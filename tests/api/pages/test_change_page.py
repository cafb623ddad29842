"""Change this campaign: the form from a document and back, one field corrected, two people at once."""

import html
import json
import re

import pytest
from sqlalchemy import insert, select, update

from api.demo import DEMO
from api.pages.form_changes import onto, renamed, with_names
from api.pages.form_document import make
from api.pages.form_filled import filled_from
from benchmarks.generator import small
from planner.campaign.differences import differences
from planner.reading import read
from tests.api.plan_fixtures import publish_pots
from tests.support.pot_campaign import pot_campaign
from worker.records.tables import Plan, Revision

DOCUMENTS = {
    "demo": json.loads(DEMO.read_text()),
    "pots": {"document": "campaign/1"} | json.loads(pot_campaign().model_dump_json(by_alias=True, exclude_unset=True)),
    "generated": {"document": "campaign/1"} | json.loads(small(3).model_dump_json(by_alias=True, exclude_unset=True)),
}


@pytest.mark.parametrize("name", DOCUMENTS)
def test_the_form_says_what_the_document_says(name: str) -> None:
    """Filled in and read again, it says nothing else; the document is as it was, and one change changes one value."""
    document = DOCUMENTS[name]
    filled = filled_from(document)
    made = make(filled)
    assert made.problems == []
    assert onto(document, made.document, make(filled_from(document)).document) == document
    tool = filled.rows["tools"][0]
    tool["cycle_s"] = "123"
    changed = onto(document, made.document, make(filled).document)
    assert [(where, now) for where, _, now in differences(document, changed)] == [(f"/tools/{tool['id']}/cycle_s", 123)]
    read(changed)


@pytest.mark.parametrize("section", ["presses", "tools", "resins", "colours", "parts", "pieces", "products", "tiers"])
def test_a_new_name_is_the_same_thing(section: str) -> None:
    """All it had goes with it, also what the form cannot say, and all that mentions it says the new name."""
    document = DOCUMENTS["demo"]
    filled, old = filled_from(document), make(filled_from(document))
    before = filled.rows[section][0]["id"]
    filled.rows[section][0]["id"] = "Old Faithful"
    names = renamed(filled)
    assert names == {section: {before: "Old Faithful"}}
    changed = onto(*(with_names(one, names) for one in (document, old.document, make(filled).document)))
    assert changed[section].keys() == {"Old Faithful" if name == before else name for name in document[section]}
    assert len(json.dumps(changed)) > 0.9 * len(json.dumps(document))
    read(changed)


def test_rows_taken_out_do_not_mix_the_others() -> None:
    """A line less: the others keep their references."""
    base = [{"ref": f"A{n}", "tier": "t", "count": n} for n in range(5)]
    said = [{"tier": "t", "count": n} for n in range(5)]
    assert onto(base, said, [*said[:1], *said[2:]]) == [base[0], *base[2:]]
    other = {"tier": "t", "count": 9}
    assert onto(base, said, [*said[:1], other, *said[2:]])[1] == other | {"ref": "A1"}


def fields(text: str) -> dict[str, str]:
    """All that the form on the page would send."""
    found = re.findall(r'<input[^>]*\bname="([^"]+)"[^>]*\bvalue="([^"]*)"', text)
    return {name: html.unescape(value) for name, value in found}


def test_one_field_is_corrected_and_planned_again(app):
    """The next revision of the same plan, from its order of work; the press page's figures are the new ones."""
    plan_id = publish_pots(app.service)
    page = app.client.get(f"/plans/{plan_id}/change")
    assert "Change this campaign" in page.text
    sent = fields(page.text)
    assert sent["from"] == "1"
    name = next(name for name in sent if re.fullmatch(r"tools\.\d+\.cycle_s", name))
    before = app.client.get(f"/v1/plans/{plan_id}/campaign").json()
    wrong = app.client.post(f"/plans/{plan_id}/change", data=sent | {name: "often", "do": "plan"})
    assert wrong.status_code == 422
    assert f'id="{name}-problem"' in wrong.text
    again = fields(wrong.text) | {name: "99", "do": "plan"}
    done = app.client.post(f"/plans/{plan_id}/change", data=again, follow_redirects=False)
    assert done.status_code == 303
    assert done.headers["location"] == f"/plans/{plan_id}"
    after = app.client.get(f"/v1/plans/{plan_id}/campaign").json()
    assert after["planning"].pop("begin_from")
    told = [(where, now) for where, _, now in differences(before, after) if not where.startswith("/planning")]
    assert [where.rpartition("/")[2] for where, _ in told] == ["cycle_s"]
    second = app.client.post(f"/plans/{plan_id}/change", data=sent | {"name": "Other pots", "do": "plan"})
    assert second.status_code == 409
    assert "Somebody changed this campaign meanwhile" in second.text
    kept = fields(second.text)
    assert (kept["name"], kept[name], kept["from"]) == ("Other pots", "99", "2")


def test_rows_come_and_go_before_it_is_planned(app):
    """As in the first form; what was typed stays."""
    plan_id = publish_pots(app.service)
    sent = fields(app.client.get(f"/plans/{plan_id}/change").text)
    more = app.client.post(f"/plans/{plan_id}/change", data=sent | {"name": "Mine", "do": "add-colours"})
    number = sum(1 for name in sent if re.fullmatch(r"colours\.\d+\.id", name))
    assert f'name="colours.{number}.id"' in more.text
    assert 'value="Mine"' in more.text


def test_what_the_last_change_did_is_said(app):
    """Of two published revisions: the value that was changed, and the plans side by side."""
    plan_id = publish_pots(app.service)
    assert app.client.get(f"/plans/{plan_id}/revised").status_code == 404
    sent = fields(app.client.get(f"/plans/{plan_id}/change").text)
    app.client.post(f"/plans/{plan_id}/change", data=sent | {"name": "Other pots", "do": "plan"})
    with app.service.database.write() as connection:
        campaign = connection.execute(select(Plan.campaign_id).where(Plan.id == plan_id)).scalar_one()
        row = connection.execute(select(Revision).with_only_columns(*Revision.__table__.columns)).one()._asdict()
        connection.execute(insert(Revision).values(row | {"number": 2, "campaign_id": campaign}))
        connection.execute(update(Plan).where(Plan.id == plan_id).values(status="done"))
    text = app.client.get(f"/plans/{plan_id}/revised").text
    assert "What was changed since revision 1" in text
    assert "Other pots" in text
    assert f'href="/plans/{plan_id}/revised"' in app.client.get(f"/plans/{plan_id}").text


def test_what_was_typed_is_kept_until_it_is_planned_or_thrown_away(app):
    """On another visit, by whatever button; gone once it is planned."""
    plan_id = publish_pots(app.service)
    here = f"/plans/{plan_id}/change"
    sent = fields(app.client.get(here).text) | {"name": "Half an idea"}
    app.client.post(here, data=sent | {"do": "add-colours"})
    kept = app.client.get(here)
    assert kept.headers["cache-control"] == "no-store"
    assert "begun and are not planned yet" in kept.text
    assert fields(kept.text)["name"] == "Half an idea"
    away = app.client.post(here, data=fields(kept.text) | {"do": "put-away"})
    assert fields(away.text)["name"] != "Half an idea"
    sent = fields(app.client.get(here).text) | {"name": "Whole idea", "do": "plan"}
    assert app.client.post(here, data=sent, follow_redirects=False).status_code == 303
    assert "begun and are not planned yet" not in app.client.get(here).text


def test_two_who_change_at_once_see_each_others_words(app):
    """Both opened the page before either typed: the second is told what the first one typed, and keeps the own."""
    plan_id = publish_pots(app.service)
    here = f"/plans/{plan_id}/change"
    opened = fields(app.client.get(here).text)
    assert app.client.post(here, data=opened | {"name": "Ada was here", "do": "save"}).status_code == 200
    second = app.client.post(here, data=opened | {"name": "Bea too", "do": "save"})
    assert second.status_code == 409
    assert "theirs says Ada was here, yours Bea too" in second.text
    assert fields(second.text)["name"] == "Bea too"
    app.client.post(here, data=fields(second.text) | {"do": "save"})
    assert fields(app.client.get(here).text)["name"] == "Bea too"


def test_the_history_says_who_changed_what(app):
    plan_id = publish_pots(app.service)
    sent = fields(app.client.get(f"/plans/{plan_id}/change").text)
    name = next(name for name in sent if re.fullmatch(r"tools\.\d+\.cycle_s", name))
    before = sent[name]
    app.client.post(f"/plans/{plan_id}/change", data=sent | {name: "99", "do": "plan"})
    app.client.post(f"/plans/{plan_id}/campaign", data={"do": "rename", "name": "Spring pots"})
    text = html.unescape(app.client.get(f"/plans/{plan_id}/campaign").text).partition("Who changed what")[2]
    tool = sent[name.replace("cycle_s", "id")]
    assert re.search(rf"this machine: changed: [^<]*Tools, {tool}, Cycle, s: {before}(\.0)?, now 99", text)
    assert "this machine: renamed: Spring pots" in text
    assert text.index("Spring pots") < text.index("now 99")  # the newest first
