"""The floor over time: everything the plan says is on the sheet, in its place, and nothing is only a colour."""

from datetime import date, datetime
from xml.etree import ElementTree
from zoneinfo import ZoneInfo

import pytest

from api.pictures.colours import ink_on, luminance, swatches
from api.pictures.floor import Window, floor_svg
from api.pictures.floor.scale import GUTTER, MARGIN, Scale
from tests.api.shelf import publish_pots
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan

SVG = "{http://www.w3.org/2000/svg}"


def drawn(window: Window | None = None, runs_at: str = "") -> ElementTree.Element:
    return ElementTree.fromstring(floor_svg(pot_plan(), pot_campaign(), window, runs_at))


def titles(picture: ElementTree.Element) -> list[str]:
    return [title.text or "" for title in picture.iter(f"{SVG}title")]


def test_every_run_changeover_batch_and_pick_up_is_said_in_words():
    """Nothing stands in the picture alone: a title says it."""
    plan, said = pot_plan(), " | ".join(titles(drawn()))
    assert plan.runs
    for run in plan.runs:
        assert f"{run.id} on {run.press}: tool {run.tool}" in said
        assert (run.changeover is None) or f"Changeover before {run.id}" in said
        for purge in run.changeover.purges if run.changeover else []:
            assert f"from {purge.from_} to {purge.to}" in said
    for batch in plan.batches:
        assert f"{batch.id}: " in said
    for tier in plan.tiers:
        assert f"{tier.tier}: " in said
        assert tier.promised is None or f"{tier.tier} promised by" in said


def test_a_run_stands_where_its_hours_are():
    """The first run's swatch begins at its start and ends at its end on a linear scale of real time."""
    plan = pot_plan()
    run = plan.runs[0]
    scale = Scale(ZoneInfo(plan.time_zone), plan.start.date(), 5, 1200)
    picture = drawn(Window(days=5), runs_at="/runs")
    link = next(a for a in picture.iter(f"{SVG}a") if a.get("href") == f"/runs#{run.id}")
    rect = next(link.iter(f"{SVG}rect"))
    assert float(rect.get("x")) == pytest.approx(scale.x(run.start), abs=0.06)
    assert float(rect.get("x")) + float(rect.get("width")) == pytest.approx(scale.x(run.stretches[0].end), abs=0.11)


def test_a_day_with_a_clock_change_is_an_hour_short_or_long():
    """Europe/London: 2026-03-29 has 23 hours, 2026-10-25 has 25 (IANA time zone database)."""
    for first, hours in ((date(2026, 3, 28), 23), (date(2026, 10, 24), 25)):
        scale = Scale(ZoneInfo("Europe/London"), first, 3, 1200)
        plain, changed, _ = scale.days()
        assert changed.width / plain.width == pytest.approx(hours / 24)
        assert scale.x(datetime(2026, first.month, first.day, tzinfo=scale.zone)) == GUTTER
        assert scale.days()[-1].x + scale.days()[-1].width == pytest.approx(1200 - MARGIN)


def test_a_window_shows_its_days_and_presses_only():
    """Zoomed to a day and a press, the rest is gone."""
    plan = pot_plan()
    one = plan.runs[0]
    others = [run for run in plan.runs if run.press != one.press or run.start.date() > one.end.date()]
    said = " | ".join(titles(drawn(Window(one.start.date(), 1, (one.press,)))))
    assert f"{one.id} on" in said
    assert others
    assert not any(f"{run.id} on" in said for run in others)


def test_every_colour_has_a_name_a_pattern_and_ink_that_can_be_read():
    """WCAG 2.2, 1.4.1 (not by colour alone) and 1.4.3 (4.5 to 1)."""
    known = swatches(pot_campaign())
    assert len({(s.strokes, s.tile) for s in known.values()}) == len(known)
    for swatch in known.values():
        light = sorted((luminance(swatch.fill), luminance(swatch.ink)))
        assert (light[1] + 0.05) / (light[0] + 0.05) >= 4.5
    texts = [text.text for text in drawn().iter(f"{SVG}text")]
    used = {melt.split("/")[1] for run in pot_plan().runs for melt in run.melts}
    assert used <= set(texts)


@pytest.mark.parametrize(
    ("fill", "light"), [("#ffffff", 1.0), ("#000000", 0.0), ("#767676", 0.18116), ("#ff0000", 0.2126)]
)
def test_luminance_is_that_of_wcag(fill, light):
    """Relative luminance as WCAG 2.2 defines it; #767676 is its well-known grey of 4.54 to 1 on white (from memory)."""
    assert luminance(fill) == pytest.approx(light, abs=2e-4)
    assert ink_on("#767676") == "#000000"


def test_the_picture_is_a_document_of_its_own(desk):
    """SVG by its own address, without script, style or anything fetched."""
    plan_id = publish_pots(desk.service)
    listed = desk.client.get(f"/v1/plans/{plan_id}/pictures").json()["pictures"]
    assert "floor" in [picture["name"] for picture in listed]
    for picture in listed:
        answer = desk.client.get(picture["href"])
        assert answer.status_code == 200, answer.text
        assert answer.headers["content-type"].startswith("image/svg+xml")
        root = ElementTree.fromstring(answer.text)
        assert root.tag == f"{SVG}svg"
        for one in root.iter():
            assert one.tag not in {f"{SVG}script", f"{SVG}style", f"{SVG}image", f"{SVG}foreignObject"}
            assert "style" not in one.attrib
            assert not any(name.startswith("on") for name in one.attrib)


def test_a_plan_itself_can_be_asked_for_as_a_picture(desk):
    """`Accept: image/svg+xml`: the floor, the very same as under its own address; OpenAPI says so."""
    plan_id = publish_pots(desk.service)
    answer = desk.client.get(f"/v1/plans/{plan_id}", headers={"Accept": "image/svg+xml"})
    assert answer.headers["content-type"].startswith("image/svg+xml")
    assert "Accept" in answer.headers["vary"]
    assert answer.text == desk.client.get(f"/v1/plans/{plan_id}/pictures/floor.svg").text
    said = desk.client.get("/v1/openapi.json").json()["paths"]["/v1/plans/{plan_id}"]["get"]["responses"]["200"]
    assert set(said["content"]) == {"application/json", "text/csv", "image/svg+xml"}


def test_an_unknown_press_is_named_with_those_there_are(desk):
    """422 with the presses that could be asked for."""
    plan_id = publish_pots(desk.service)
    answer = desk.client.get(f"/v1/plans/{plan_id}/pictures/floor.svg?press=nowhere")
    assert answer.status_code == 422
    assert "nowhere" in answer.json()["errors"][0]["message"]
    assert pot_plan().runs[0].press in answer.json()["errors"][0]["remedy"]


def test_ids_from_a_campaign_cannot_break_out_of_the_picture():
    """Names are escaped: a plan's texts never become markup."""
    plan = pot_plan()
    nasty = plan.model_copy(update={"name": '</title><script>alert("x")</script>'})
    assert "<script" not in floor_svg(nasty, pot_campaign())
