"""The floor over time: everything the plan says is on the sheet, in its place, and nothing is only a colour."""

import itertools
import math
from datetime import date, datetime, timedelta
from types import SimpleNamespace
from typing import Any
from xml.etree import ElementTree
from zoneinfo import ZoneInfo

import pytest

from api.languages import reading, wording
from api.languages.reading import Reader
from api.pictures.colours import ink_on, luminance, swatches
from api.pictures.drawing import cut_apart, text_width
from api.pictures.floor import Links, Window, floor_svg
from api.pictures.floor.picture import LEGEND_COLUMN, TAG, _legend, tool_tags
from api.pictures.floor.scale import GUTTER, MARGIN, Scale
from api.services.standing_promise import Sure
from planner.campaign.materials import Colour
from planner.plan.run_names import RunNames
from tests.api.plan_fixtures import publish_pots
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan

SVG = "{http://www.w3.org/2000/svg}"


LINKS = Links("/runs", "/parcels")


def drawn(window: Window | None = None, **more: Any) -> ElementTree.Element:
    svg = floor_svg(pot_plan(), pot_campaign(), window, **more)
    return ElementTree.fromstring(f'<page xmlns="http://www.w3.org/1999/xhtml">{svg}</page>')


def titles(picture: ElementTree.Element) -> list[str]:
    return [title.text or "" for title in picture.iter(f"{SVG}title")]


def test_every_run_changeover_batch_and_pick_up_is_said_in_words():
    """Nothing stands in the picture alone: a title says it."""
    plan, said = pot_plan(), " | ".join(titles(drawn()))
    called = RunNames(plan.runs)
    assert plan.runs
    for run in plan.runs:
        assert f"{called[run.id]}: " in said
        assert (run.changeover is None) or f"Changeover before {called[run.id]}" in said
        for purge in run.changeover.purges if run.changeover else []:
            assert f"from {purge.from_} to {purge.to}" in said
    for batch in plan.batches:
        assert f"{batch.id}: " in said
    for tier in plan.tiers:
        assert f"{tier.tier}: " in said
        assert tier.promised is None or f"{tier.tier} promised by" in said


def test_colours_are_named_beside_each_other_as_far_as_the_width_goes():
    """Each swatch with its name once, from left to right and then on the next line; on a narrow sheet one a line."""
    for width, in_a_line in ((LEGEND_COLUMN * 5.5, 5), (LEGEND_COLUMN * 1.2, 1), (LEGEND_COLUMN * 0.5, 1)):
        used = list(swatches({f"colour {n}": Colour(hex="#406080") for n in range(12)}).values())
        placed, lines = _legend(used, 100.0, width)
        assert [swatch for swatch, *_ in placed] == used
        assert lines == math.ceil(12 / in_a_line)
        places = [(y, x) for _, x, y, _ in placed]
        assert places == sorted(places)
        assert len(set(places)) == 12
        by_line = [list(some) for _, some in itertools.groupby(places, key=lambda place: place[0])]
        assert [len(some) for some in by_line] == [in_a_line] * (12 // in_a_line) + [12 % in_a_line] * (
            12 % in_a_line > 0
        )
        assert places[0][0] == 100.0


def test_a_run_stands_where_its_hours_are():
    """The first run's swatch begins at its start and ends at its end on a linear scale of real time."""
    plan = pot_plan()
    run = plan.runs[0]
    scale = Scale(ZoneInfo(plan.time_zone), plan.start.date(), 5, 1200)
    picture = drawn(Window(days=5), links=LINKS)
    link = next(a for a in picture.iter(f"{SVG}a") if a.get("href") == f"/runs/{run.id}")
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


@pytest.mark.parametrize("language", ["en", "de"])
def test_the_names_of_days_never_touch(language):
    """Whatever the width of a day, its name leaves room to the next; a wide one says weekday, day and month."""
    try:
        reading.begin(Reader(language, "" if language == "en" else language))
        for count in (1, 2, 5, 9, 12, 14, 17, 21, 30, 60):
            for day in Scale(ZoneInfo("Europe/Berlin"), date(2027, 9, 20), count, 1200).days():
                assert text_width(day.name) < day.width
        wide = Scale(ZoneInfo("Europe/Berlin"), date(2027, 9, 20), 5, 1200).days()[0]
        assert wide.name == wording.short_day(wide.date)
        assert Scale(ZoneInfo("Europe/Berlin"), date(2027, 9, 20), 40, 1200).days()[0].name == "20"
    finally:
        reading.begin(reading.NOBODY)


@pytest.mark.parametrize("count", [1, 3, 7, 10, 14, 30, 60, 90, 180, 400])
@pytest.mark.parametrize("first", [date(2026, 12, 1), date(2026, 12, 5), date(2026, 12, 6), date(2026, 12, 7)])
@pytest.mark.parametrize("width", [390, 1200])
def test_the_heads_of_weeks_never_touch(count, first, width):
    """From a Tuesday, a Saturday, a Sunday and a Monday on: each ends before the next and before the sheet's edge, and
    where a whole day has room there is one with its year."""
    heads = [(day.x, day.headed) for day in Scale(ZoneInfo("Europe/Berlin"), first, count, width).days() if day.headed]
    edges = [*(x for x, _ in heads[1:]), width - MARGIN]
    assert all(x + 4 + text_width(head, 12) < edge for (x, head), edge in zip(heads, edges, strict=True))
    assert heads
    assert heads[0][1].endswith(("2026", "2027"))


def test_a_window_shows_its_days_and_presses_only():
    """Zoomed to a day and a press, the rest is gone."""
    plan = pot_plan()
    one = plan.runs[0]
    others = [run for run in plan.runs if run.press != one.press or run.start.date() > one.end.date()]
    said = " | ".join(titles(drawn(Window(one.start.date(), 1, (one.press,)))))
    called = RunNames(plan.runs)
    assert f"{called[one.id]}: " in said
    assert others
    assert not any(f"{called[run.id]}: " in said for run in others)


def test_tiers_that_a_window_does_not_show_take_no_room():
    """In the first days nothing leaves and nothing is promised: only the presses and benches are there."""
    texts = {text.text for text in drawn(Window(days=1)).iter(f"{SVG}text")}
    assert {run.press for run in pot_plan().runs} <= texts
    assert "pair" in {tier.tier for tier in pot_plan().tiers} - texts


def test_how_sure_a_last_day_is_stands_at_it_and_is_said():
    """A band from the end of the P50 day to that of P95, upright P80; past the sheet's edge words still say it."""
    plan = pot_plan()
    tier = plan.tiers[0]
    last = tier.last_dispatch.date()
    sure = Sure(last, last + timedelta(days=1), last + timedelta(days=2), 0.25)
    picture = drawn(sure={tier.tier: sure})
    band = next(rect for rect in picture.iter(f"{SVG}rect") if rect.get("fill") == "url(#floor-band)")
    scale = Scale(ZoneInfo(plan.time_zone), plan.start.date(), len(drawn_days(picture)), 1200)
    ends = [scale.x(datetime.combine(day + timedelta(days=1), datetime.min.time(), scale.zone)) for day in
            (sure.p50, sure.p95)]  # fmt: skip
    assert float(band.get("x")) == pytest.approx(ends[0], abs=0.06)
    assert float(band.get("x")) + float(band.get("width")) == pytest.approx(ends[1], abs=0.11)
    assert f"80 % likely by {wording.day(sure.by)} (P80)" in " | ".join(titles(picture))
    far = Sure(last, last, last + timedelta(days=200), 0.25)
    assert f"almost certain by {wording.day(far.p95)} (P95)" in " | ".join(titles(drawn(sure={tier.tier: far})))
    assert len(drawn_days(drawn(sure={tier.tier: far}))) < 2 * len(drawn_days(drawn()))


def drawn_days(picture: ElementTree.Element) -> list[str]:
    """The days over the sheet's columns."""
    label = next(one.get("aria-label") for one in picture.iter(f"{SVG}svg") if one.get("aria-label"))
    return ["day"] * int(label.rpartition(", ")[2].split(" ")[0])


def test_on_a_page_everything_leads_somewhere_and_says_what_waits_for_what():
    """Runs lead to their lines, bench jobs to their parcels; what a job needs, some run makes."""
    plan, picture = pot_plan(), drawn(links=LINKS)
    links = list(picture.iter(f"{SVG}a"))
    assert {a.get("href") for a in links if a.get("class") == "run"} == {f"/runs/{run.id}" for run in plan.runs}
    jobs = [a for a in links if a.get("class") == "job"]
    assert {a.get("href") for a in jobs} == {f"/parcels#{batch.id}" for batch in plan.batches}
    made = {item for a in links for item in (a.get("data-makes") or "").split()}
    needed = {item for a in jobs for item in (a.get("data-needs") or "").split()}
    assert needed
    assert needed <= made


def test_the_names_stay_in_sight_where_the_sheet_is_scrolled():
    """On a page the gutter is a picture of its own, hidden from those who hear the other; both are equally tall."""
    names, sheet = drawn(links=LINKS)
    assert (names.get("class"), names.get("aria-hidden")) == ("names", "true")
    boxes = [[float(n) for n in one.get("viewBox").split()] for one in (names, sheet)]
    assert boxes[0][3] == boxes[1][3]
    assert boxes[0][2] == boxes[1][0] == GUTTER
    assert boxes[0][2] + boxes[1][2] == 1200


def test_every_colour_has_a_name_a_pattern_and_ink_that_can_be_read():
    """WCAG 2.2, 1.4.1 (not by colour alone) and 1.4.3 (4.5 to 1)."""
    known = swatches(pot_campaign().colours)
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


def test_the_picture_is_a_document_of_its_own(app):
    """SVG by its own address, without script, style or anything fetched."""
    plan_id = publish_pots(app.service)
    listed = app.client.get(f"/v1/plans/{plan_id}/pictures").json()["pictures"]
    assert "floor" in [picture["name"] for picture in listed]
    for picture in listed:
        answer = app.client.get(picture["href"])
        assert answer.status_code == 200, answer.text
        assert answer.headers["content-type"].startswith("image/svg+xml")
        root = ElementTree.fromstring(answer.text)
        assert root.tag == f"{SVG}svg"
        for one in root.iter():
            assert one.tag not in {f"{SVG}script", f"{SVG}style", f"{SVG}image", f"{SVG}foreignObject"}
            assert "style" not in one.attrib
            assert not any(name.startswith("on") for name in one.attrib)


def test_a_plan_itself_can_be_asked_for_as_a_picture(app):
    """`Accept: image/svg+xml`: the floor, the very same as under its own address; OpenAPI says so."""
    plan_id = publish_pots(app.service)
    answer = app.client.get(f"/v1/plans/{plan_id}", headers={"Accept": "image/svg+xml"})
    assert answer.headers["content-type"].startswith("image/svg+xml")
    assert "Accept" in answer.headers["vary"]
    assert answer.text == app.client.get(f"/v1/plans/{plan_id}/pictures/floor.svg").text
    said = app.client.get("/v1/openapi.json").json()["paths"]["/v1/plans/{plan_id}"]["get"]["responses"]["200"]
    assert set(said["content"]) == {"application/json", "text/csv", "image/svg+xml"}


def test_an_unknown_press_is_named_with_those_there_are(app):
    """422 with the presses that could be asked for."""
    plan_id = publish_pots(app.service)
    answer = app.client.get(f"/v1/plans/{plan_id}/pictures/floor.svg?press=nowhere")
    assert answer.status_code == 422
    assert "nowhere" in answer.json()["errors"][0]["message"]
    assert pot_plan().runs[0].press in answer.json()["errors"][0]["remedy"]


def test_ids_from_a_campaign_cannot_break_out_of_the_picture():
    """Names are escaped: a plan's texts never become markup."""
    plan = pot_plan()
    nasty = plan.model_copy(update={"name": '</title><script>alert("x")</script>'})
    assert "<script" not in floor_svg(nasty, pot_campaign())


def test_long_tool_names_neither_overlap_nor_look_alike_nor_cross_the_edge():
    """Forty letters that begin and end alike, on runs a few units wide: what stands there says which tool it is."""
    names = [f"Self-watering planter, outer shell no. {n} of nine" for n in range(1, 10)]
    short = cut_apart(names, TAG)
    assert len(set(short.values())) == 9
    runs = [SimpleNamespace(tool=names[n % 9]) for n in range(40)]
    lane = SimpleNamespace(blocks=[SimpleNamespace(run=run, x=130.0 + 27 * n) for n, run in enumerate(runs)])
    tags = tool_tags(lane, short, 1186.0)
    assert len(tags) >= 6
    spans = [(begin, begin + text_width(text)) for _, begin, text in tags]
    assert all(one[1] < other[0] for one, other in itertools.pairwise(spans))
    assert spans[-1][1] <= 1186.0
    assert all(text == short[runs[round((at - 130) / 27)].tool] for at, _, text in tags)
