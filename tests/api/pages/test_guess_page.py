"""What would be guessed where nothing is said to be unsure: shown in the maker's words, put right, planned with."""

import html
import json
import re
from datetime import timedelta

import pytest

from api.pages.spreads import rows_of
from benchmarks.generator import small
from planner.campaign.common_case import common_case
from tests.api.plan_fixtures import publish
from tests.support.pot_plan import pot_plan


@pytest.fixture
def late():
    """A campaign with a tool that is not there yet."""
    campaign = small(1)
    name = min(campaign.tools)
    day = campaign.start.date() + timedelta(days=5)
    tools = campaign.tools | {name: campaign.tools[name].model_copy(update={"ready": day})}
    return campaign.model_copy(update={"tools": tools}), name


def fields(text: str) -> dict[str, str]:
    """What stands in the page's form."""
    found = re.findall(r'<input id="[^"]*" name="((?:unsure|spread)[^"]*)" value="([^"]*)"', text)
    return {name: html.unescape(value) for name, value in found}


def test_the_usual_is_shown_as_a_guess_and_can_be_put_right(app, late):
    campaign, tool = late
    plan_id = publish(app.service, campaign, pot_plan())
    text = app.client.get(f"/plans/{plan_id}/guess").text
    assert "this is a guess" in text
    shown = fields(text)
    place = next(name.rpartition(".")[0] for name, value in shown.items() if name.endswith(".tool") and value == tool)
    assert shown[f"{place}.works"] == "6 in 10"
    assert shown[f"{place}.rework"] == "3-7-12"
    sent = shown | {f"{place}.works": "9 in 10", f"{place}.rework": "7-10"}
    answer = app.client.post(f"/plans/{plan_id}/guess", data=sent, follow_redirects=False)
    assert answer.status_code == 303, answer.text
    child = answer.headers["location"].rpartition("/")[2]
    unsure = json.loads(app.client.get(f"/v1/plans/{child}/campaign").text)["uncertainty"]
    assert unsure["tools"][tool]["first_trial"]["success_chance"] == 0.9
    assert unsure["tools"][tool]["first_trial"]["rework_days"]["late"] == 10
    usual = common_case(campaign).model_dump(mode="json", exclude_none=True)
    assert set(unsure["efficiency_share"]) == set(usual["efficiency_share"])
    assert unsure["tools"][tool]["mount_share"] == usual["tools"][tool]["mount_share"]
    assert "You have not said" not in app.client.get(f"/plans/{child}/guess").text


def test_what_cannot_be_read_is_told_beside_its_field(app, late):
    campaign, _ = late
    plan_id = publish(app.service, campaign, pot_plan())
    shown = fields(app.client.get(f"/plans/{plan_id}/guess").text)
    answer = app.client.post(f"/plans/{plan_id}/guess", data=shown | {"unsure.0.works": "mostly"})
    assert answer.status_code == 422
    told = re.search(r'id="unsure.0.works-problem">(.*?)<', answer.text)[1]
    assert "7 in 10" in html.unescape(told)


def test_cycles_scrap_and_deliveries_are_put_right_in_the_makers_words(app, late):
    """In per cent and in days; a blank row goes as planned; what is not touched stays as it was, to the last figure."""
    campaign, tool = late
    plan_id = publish(app.service, campaign, pot_plan())
    shown = fields(app.client.get(f"/plans/{plan_id}/guess").text)
    piece, usual = min(campaign.pieces), common_case(campaign)
    rows = {row.path: row.name for row in rows_of(*[usual.model_dump(mode="json", exclude_none=True)] * 2)}
    cycle, scrap, comes = (
        rows["tools", tool, "cycle_share"],
        rows["tools", tool, "scrap_share"],
        rows["piece_days", piece],
    )
    assert [shown[f"{cycle}.{point}"] for point in ("early", "likely", "late")] == ["97", "100", "115"]
    assert shown[f"{comes}.early"] == "-1"
    sent = shown | {f"{cycle}.early": "95 %", f"{cycle}.late": "120", f"{comes}.late": "21"}
    sent |= {f"{scrap}.{point}": "" for point in ("early", "likely", "late")}
    answer = app.client.post(f"/plans/{plan_id}/guess", data=sent, follow_redirects=False)
    assert answer.status_code == 303, answer.text
    child = answer.headers["location"].rpartition("/")[2]
    unsure = json.loads(app.client.get(f"/v1/plans/{child}/campaign").text)["uncertainty"]
    told = unsure["tools"][tool]["cycle_share"]
    assert [told[point] for point in ("early", "likely", "late")] == [0.95, 1.0, 1.2]
    assert unsure["piece_days"][piece]["late"] == 21
    assert unsure["tools"][tool].get("scrap_share") is None
    assert unsure["efficiency_share"] == usual.model_dump(mode="json", exclude_none=True)["efficiency_share"]
    again = {row.path: row.cells for row in rows_of(unsure, usual.model_dump(mode="json", exclude_none=True))}
    assert again["tools", tool, "cycle_share"] == ("95", "100", "120")
    assert again["tools", tool, "scrap_share"] == ("", "", "")


@pytest.mark.parametrize(("late_says", "told"), [("", "give all three"), ("3", "must rise"), ("soon", "no number")])
def test_a_spread_that_cannot_be_is_told_beside_its_field(app, late, late_says, told):
    """And its group stands open, with what was typed."""
    campaign, _ = late
    plan_id = publish(app.service, campaign, pot_plan())
    name = "spread.0.late"
    sent = fields(app.client.get(f"/plans/{plan_id}/guess").text) | {name: late_says}
    answer = app.client.post(f"/plans/{plan_id}/guess", data=sent)
    assert answer.status_code == 422
    said = re.search(rf'id="{re.escape(html.escape(name))}-problem">(.*?)<', answer.text)[1]
    assert told in html.unescape(said)
    assert "<details open><summary>cycles" in answer.text


def test_what_is_seldom_said_of_a_trial_is_folded(app, late):
    """Until something stands in it."""
    campaign, _ = late
    plan_id = publish(app.service, campaign, pot_plan())
    text = app.client.get(f"/plans/{plan_id}/guess").text
    folded = re.search(r"<details><summary>more about this</summary>(.*?)</details>", text, re.DOTALL)[1]
    assert "Tried on press" in folded
    assert "Ready between" not in folded
