"""Work between press and assembly where people look: today's list, the log's page, paper, picture, workbook."""

import re
from datetime import datetime

import pytest

from api.exports.plan_lists import plan_lists
from api.pages.needs import needs, ticked
from api.paper.setting import written
from api.paper.writing import write_paper
from api.pictures.colours import swatches
from api.pictures.floor import floor_svg
from api.services.floor_log import ENTRY
from examples.situations import campaign_of, plan_of
from tests.api.plan_fixtures import publish

PLANS = {}


def planned(name):
    if name not in PLANS:
        PLANS[name] = plan_of(name)
    return campaign_of(name), PLANS[name]


def logged(*entries):
    return [ENTRY.validate_python(entry) for entry in entries]


@pytest.mark.parametrize("name", ["pad-printing", "painting"])
def test_all_of_it_can_be_ticked_away(name):
    """Once each: benches' jobs as finished parts; lots as sent and as back."""
    campaign, plan = planned(name)
    log, told = [], []
    while left := [need for need in needs(plan, campaign, log) if need.what == "finishing"]:
        log += logged(*ticked(left[0], datetime(2027, 1, 11, 8)))
        told.append(left[0].tick)
    visits = sum(len(lot.visits) for lot in plan.finishing_lots)
    assert told.count("sent") == told.count("back") == visits
    assert told.count("finished") == len(plan.finishing)
    finished = sum(entry.parts for entry in log if entry.what == "finished")
    assert finished == (1000 if name == "pad-printing" else 0), "painted parts do not say their colour in the log"


def test_what_comes_from_another_place_arrives_and_is_not_back():
    campaign, plan = planned("tool-to-either-place")
    ticks = [need.tick for need in needs(plan, campaign, []) if need.what == "finishing"]
    assert ticks.count("sent") == ticks.count("arrived") == len(plan.finishing_lots) == 3
    assert "back" not in ticks


def test_the_plans_page_says_where_a_tool_goes(app):
    campaign, plan = planned("tool-to-either-place")
    text = app.client.get(f"/plans/{publish(app.service, campaign, plan)}").text
    section = text[text.index('id="tools-at"') :]
    assert section.index("foot") < section.index("far works") < section.index("</details>")
    _, rows = plan_lists(campaign, plan)["Tools at places"]
    assert [list(row)[:2] for row in rows] == [["foot", "far works"]]


def test_the_plans_page_says_why_copies_stay_at_one_place(app):
    """The plan is that of copies of a resin that is not dried; the page goes by the campaign it stands beside."""
    campaign, plan = planned("copies-at-two-places")
    dried = {name: resin.model_copy(update={"drying_hours": 2.0}) for name, resin in campaign.resins.items()}
    for resins, told in ((campaign.resins, False), (dried, True)):
        standing = campaign.model_copy(update={"resins": resins})
        text = app.client.get(f"/plans/{publish(app.service, standing, plan)}").text
        assert ("is dried before it is moulded, and its dryer stands at one place" in text) == told


def test_parts_written_down_are_asked_for_no_more():
    campaign, plan = planned("pad-printing")
    all_cream = {"what": "finished", "at": "2027-01-12T12:00", "part": "pot", "colours": ["cream"], "parts": 600}
    left = [need for need in needs(plan, campaign, logged(all_cream)) if need.what == "finishing"]
    assert sum(entry["parts"] for need in left for entry in need.entries) == 400
    assert {entry["colours"][0] for need in left for entry in need.entries} == {"sage"}


def test_the_logs_page_takes_it_down(app):
    campaign, plan = planned("pad-printing")
    plan_id = publish(app.service, campaign, plan)
    answer = app.client.get(f"/plans/{plan_id}/log")
    chosen = re.search(r'<option value="([^"]+)"[^>]*>pot cream<', answer.text)[1].replace("&#34;", '"')
    sent = {"what": "finished", "item": chosen, "parts": "12", "spoilt": "1"}
    assert app.client.post(f"/plans/{plan_id}/log", data=sent, follow_redirects=False).status_code == 303
    assert "12 pot cream finished, 1 spoilt" in app.client.get(f"/plans/{plan_id}/log").text
    wrong = app.client.post(f"/plans/{plan_id}/log", data=sent | {"parts": "many"})
    assert wrong.status_code == 422
    unknown = app.client.post(f"/plans/{plan_id}/log", data=sent | {"item": "lid"})
    assert unknown.status_code == 422


def test_sub_assemblies_are_ticked_away_and_written_down(app):
    campaign, plan = planned("sub-assembly")
    log = []
    while left := [need for need in needs(plan, campaign, log) if need.what == "finishing"]:
        log += logged(*ticked(left[0], datetime(2027, 1, 11, 8)))
    put = sum(one.units for job in plan.finishing for one in job.puts)
    assert sum(entry.units for entry in log if entry.what == "put-together") == put > 0
    (colourway,) = campaign.products["pot"].colourways
    plan_id = publish(app.service, campaign, plan)
    page = app.client.get(f"/plans/{plan_id}/log").text
    assert f">valve of pot {colourway}<" in page
    sent = {"what": "put-together", "put": f"valve of pot {colourway}", "put_units": "25"}
    assert app.client.post(f"/plans/{plan_id}/log", data=sent, follow_redirects=False).status_code == 303
    assert f"valve of 25 pot {colourway} put together" in app.client.get(f"/plans/{plan_id}/log").text
    assert app.client.post(f"/plans/{plan_id}/log", data=sent | {"put_units": "many"}).status_code == 422
    assert app.client.post(f"/plans/{plan_id}/log", data=sent | {"put": "hinge"}).status_code == 422


def test_the_log_of_a_campaign_without_it_does_not_ask(app):
    plan_id = publish(app.service, *planned("spares"))
    page = app.client.get(f"/plans/{plan_id}/log").text
    assert "Parts are finished" not in page
    assert "put together" not in page


def paper_of(name):
    campaign, plan = planned(name)
    return written(write_paper(plan, campaign, 1, "https://shop.example/plans/1"), swatches(campaign.colours))


def test_benches_and_lots_are_on_paper():
    """Each job and each visit once; pots printed and lots painted add up."""
    printing, painting = paper_of("pad-printing"), paper_of("painting")
    assert len(printing["finishing"]) == len(planned("pad-printing")[1].finishing)
    assert printing["lots"] == painting["finishing"] == []
    assert len(painting["lots"]) == sum(len(lot.visits) for lot in planned("painting")[1].finishing_lots)
    assert all(row[1] == "painter" for row in painting["lots"])
    assert paper_of("spares")["finishing"] == paper_of("spares")["lots"] == []


def test_the_picture_has_a_row_for_each_bench_and_firm():
    printing = floor_svg(planned("pad-printing")[1], campaign_of("pad-printing"))
    painting = floor_svg(planned("painting")[1], campaign_of("painting"))
    plain = floor_svg(planned("spares")[1], campaign_of("spares"))
    assert [picture.count('class="bench"') for picture in (printing, painting, plain)] == [3, 3, 2]
    assert len(re.findall("<title>[^<]* away at painter: painting", painting)) == len(
        planned("painting")[1].finishing_lots
    )


def test_wishes_and_orders_of_pieces_are_in_the_lists_and_on_paper():
    campaign, plan = planned("wishes")
    rows = list(plan_lists(campaign, plan)["Wishes"][1])
    assert [row[2] for row in rows] == ["yes" if wish.kept else "no" for wish in plan.wishes]
    on_paper = paper_of("wishes")["wishes"]
    assert [row[0] for row in on_paper] == [wish.words for wish in plan.wishes]
    assert [row[1] for row in on_paper] == ["kept" if wish.kept else "refused" for wish in plan.wishes]
    campaign, plan = planned("second-supplier")
    orders = list(plan_lists(campaign, plan)["Piece orders"][1])
    ordered = sum(line.bought for line in plan.pieces)
    assert sum(row[2] for row in orders) == ordered + sum(
        other.pieces for piece in campaign.pieces.values() for other in piece.also_from
    )
