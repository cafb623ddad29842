"""The PDF says what the API says: figure by figure, none lost, none of its own."""

import io
import json
import re
from collections import Counter
from collections.abc import Callable, Iterator
from datetime import date, datetime, timedelta
from functools import cache
from typing import Any

import pytest
from pypdf import PdfReader

from api.demo import DEMO
from api.languages import reading, wording
from api.languages.reading import Reader
from api.paper.setting import print_pdf, written
from api.paper.writing import write_paper
from api.pictures.colours import swatches
from api.services.standing_promise import HowSure, Sure
from benchmarks.generator import small
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.plan import RunPlan
from planner.planning.make import make_plan
from planner.promise.make import make_promise
from planner.reading import read
from tests.api.plan_fixtures import publish_pots, simulate
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan
from tests.support.split_campaign import campaign as split_campaign

NUMBER = re.compile(r"\d+(?:\.\d+)?")
STATIC_PER_RUN = "100 105 2859 1"
"""The head of the let-down column, and the standards named under each run's sampling plan."""
STATIC_HOW_SURE = "P50 P95: in 19 of 20"
"""The heads that stand always in the table that says how sure the dates are, and what is said under it."""


def texts(value: Any, skip: tuple[str, ...] = ("code",)) -> Iterator[str]:
    """Every text in the sheets' data, but for the drawing of the code and colour fills."""
    if isinstance(value, dict):
        for key, inner in value.items():
            if key not in skip:
                yield from texts(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from texts(inner)
    elif isinstance(value, str) and not re.fullmatch("#[0-9a-f]{6}", value):
        yield value


def dense(text: str) -> str:
    return re.sub(r"\s|\u202f", "", text)


def figures(value: Any) -> Iterator[str]:
    """Every way in which a value of the JSON answer may be written on paper."""
    if isinstance(value, dict):
        for inner in value.values():
            yield from figures(inner)
        yield from value
    elif isinstance(value, list):
        yield wording.number(len(value))
        for inner in value:
            yield from figures(inner)
    elif isinstance(value, str):
        yield value
        for kind, write in ((datetime, wording.moment), (date, wording.day)):
            try:
                yield write(kind.fromisoformat(value))
            except ValueError:
                continue
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield f"{value:g}"
        for places in range(3):
            yield wording.number(value, places)
        yield wording.kilograms(value)
        yield wording.per_cent(value)
        yield wording.duration(value)


@pytest.fixture
def answer(app) -> dict[str, Any]:
    plan_id = publish_pots(app.service)
    return app.client.get(f"/v1/plans/{plan_id}/paper").json()


def planned(campaign: Campaign, rounds: int) -> tuple[Campaign, RunPlan]:
    hurried = campaign.model_copy(update={"planning": campaign.planning.model_copy(update={"rounds": rounds})})
    return campaign, make_plan(hurried, Unhurried())


def a_fifth_of_the_demo() -> Campaign:
    """The demo with every fifth of its order lines: all its tools, dryers, cartons, customs and inspection, sooner."""
    demo = json.loads(DEMO.read_text(encoding="utf-8"))
    return read(demo | {"orders": demo["orders"][::5]})


WHOSE: dict[str, Callable[[], tuple[Campaign, RunPlan]]] = {
    "worked by hand": lambda: (pot_campaign(), pot_plan()),
    "the demo": lambda: planned(a_fifth_of_the_demo(), 0),
    "a random one": lambda: planned(small(7), 1),
}


@cache
def whose(name: str) -> tuple[Campaign, RunPlan, HowSure]:
    """The campaign, its plan, and a promise of it in figures that nothing else on the sheets has."""
    campaign, plan = WHOSE[name]()
    sure = {
        tier.tier: Sure(
            *(tier.last_dispatch.date() + timedelta(days=900 + 7 * n + k) for k in range(3)), 0.731 + n / 50
        )
        for n, tier in enumerate(plan.tiers)
    }
    return campaign, plan, HowSure("x", False, sure, 2347, 0.5)


@pytest.mark.parametrize(
    ("name", "size"),
    [("worked by hand", "a4"), ("worked by hand", "letter"), ("the demo", "a4"), ("a random one", "letter")],
)
def test_every_figure_on_paper_is_the_apis(name, size):
    """Both ways: each figure written comes from the JSON answer, and the PDF shows those figures and no other."""
    campaign, plan, sure = whose(name)
    paper = write_paper(plan, campaign, 1, "http://127.0.0.1:8000/plans/x", sure)
    said = json.loads(paper.model_dump_json(by_alias=True))
    known = {number for text in figures(said) for number in NUMBER.findall(dense(text))}
    sheets = written(paper, swatches(campaign.colours))
    ours = list(texts(sheets))
    assert {number for text in ours for number in NUMBER.findall(dense(text))} <= known

    pages = [
        page.extract_text() for page in PdfReader(io.BytesIO(print_pdf(paper, swatches(campaign.colours), size))).pages
    ]
    printed = dense("".join(pages))
    for text in ours:
        assert dense(text) in printed, text
    expected = Counter("".join(ours))
    for number in range(1, len(pages) + 1):
        expected.update(f"{number} {len(pages)} {sheets['name']} {sheets['under']}")
    for run in sheets["runs"]:  # at the foot of each of its sheets
        own = sum(f"{dense(run['called'])}·{dense(sheets['name'])}" in dense(page) for page in pages)
        assert own
        expected.update(run["called"] * own)
    expected.update(STATIC_PER_RUN * len(sheets["runs"]) + STATIC_HOW_SURE)
    assert {d: printed.count(d) for d in "0123456789"} == {d: expected[d] for d in "0123456789"}


def number_in(cell: str) -> float:
    """A figure as it is written on paper, as a number again; grams and minutes as they stand."""
    return float(re.sub(r"[^\d.−]", "", dense(cell).split("(")[0]).replace("−", "-") or "nan")


@pytest.mark.parametrize("name", WHOSE)
def test_each_cell_is_the_figure_of_its_own_line(name):
    """Line by line, column by column: no figure stands in another's place. To the places that are written."""
    campaign, plan, sure = whose(name)
    paper = write_paper(plan, campaign, 1, "http://127.0.0.1:8000/plans/x", sure)
    sheets = written(paper, swatches(campaign.colours))

    def same(cells: list[str], values: list[float]) -> None:
        assert len(cells) == len(values)
        for cell, value in zip(cells, values, strict=True):
            unit = 1000.0 if cell.endswith(f"{wording.THIN}g") else 1.0
            assert number_in(cell) == pytest.approx(value * unit, rel=6e-3, abs=6e-3), cell

    def column(rows: list[list[str]], n: int) -> list[str]:
        return [row[n] for row in rows]

    facts = dict(sheets["facts"])
    expected = plan.outcome.expected
    costs = facts["costs if all goes well" if expected else "costs"]
    same([costs, facts["best possible cost"]], [plan.outcome.total, plan.outcome.lower_bound])
    if expected is not None:
        same([facts["costs on average"]], [expected.mean])
    same(column(sheets["tiers"], 1), [tier.parcels for tier in plan.tiers])
    same(column(sheets["sure"], 4), [100 * one.chance for one in sure.tiers.values()])
    same(column(sheets["costs"], 1), [line.amount for line in plan.costs])
    assert len(sheets["runs"]) == len(plan.runs)
    for sheet, run, data in zip(sheets["runs"], plan.runs, paper.runs, strict=True):
        same([sheet["shots"], sheet["shot_seconds"]], [run.shots, run.shot_seconds])
        tool = campaign.tools[run.tool]
        said_of = dict(sheet["settings"])
        same([said_of["machine cycle"]], [tool.cycle_s])
        for part, cavities in tool.cavities.items():
            open_ = cavities - tool.blocked_cavities.get(part, 0)
            assert f"{part} {open_} of {cavities}" in said_of["cavities open"]
        if tool.clamp_kn:
            same([said_of["clamp"]], [tool.clamp_kn])
        else:
            assert "not said" in said_of["clamp"]
        for row, melt in zip(sheet["heat"], run.melts, strict=True):
            resin = campaign.resins[melt.split("/")[0]]
            assert row[:2] == [str(sheet["heat"].index(row) + 1), melt.split("/")[0]]
            if resin.drying_hours:
                assert row[4].startswith(f"{wording.number(resin.drying_hours, 1)} h at ")
        same(column(sheet["stretches"], 3), [one.shots for one in run.stretches])
        same(column(sheet["parts"], 0), [part.good for part in run.parts])
        same(column(sheet["melts"], 2), [melt.melt_kg for melt in data.melts])
        for place, field in ((3, "lot"), (5, "n"), (6, "accept"), (7, "reject")):
            same(column(sheet["samples"], place), [getattr(one, field) for one in data.samples])
        drawn = [one for one in plan.inspections if one.run == run.id]
        for place, field in enumerate(("first_off", "sample", "last_off", "used_up", "minutes"), start=1):
            same(column(sheet["checks"], place), [getattr(one, field) for one in drawn])
        purges = run.changeover.purges if run.changeover else []
        said = [step[1] for step in sheet["steps"] if step[0].startswith("Purge")]
        same([text.partition(",")[0].partition(" of ")[0] for text in said],
             [purge.compound_kg or purge.kg for purge in purges])  # fmt: skip
    same(column(sheets["assembly"], 3), [job.units for job in paper.assembly])
    batches = {wording.work_name(batch.id): batch for batch in plan.batches}
    same(column(sheets["packing"], 3), [batches[row[0]].parcels for row in sheets["packing"]])
    assert sorted(column(sheets["packing"], 0)) == sorted(batches)
    for pick_up, data in zip(sheets["pick_ups"], paper.pick_ups, strict=True):
        same(column(pick_up["rows"], 2), [line.parcels for line in data.consignments])
    for rows, lines, fields in (
        (sheets["materials"], paper.buying.materials, ("bought_kg", "used_kg", "stock_kg", "arriving_kg")),
        (sheets["pieces"], paper.buying.pieces, ("bought", "used", "stock", "arriving")),
    ):
        for place, field in enumerate(fields, start=2):
            same(column(rows, place), [getattr(line, field) for line in lines])


@pytest.mark.parametrize("name", WHOSE)
def test_a_german_sheet_says_nothing_in_english(name):
    """Every text of the sheets, those of the planner too: what is the same in both languages is a name or a source."""
    campaign, plan, sure = whose(name)
    paper = write_paper(plan, campaign, 1, "http://127.0.0.1:8000/plans/x", sure)
    english = set(texts(written(paper, swatches(campaign.colours))))
    try:
        reading.begin(Reader("de", "de"))
        german = set(texts(written(paper, swatches(campaign.colours))))
    finally:
        reading.begin(reading.NOBODY)
    sources = {source for sheet in paper.runs for melt in sheet.melts for source in melt.sources}
    sources |= {"; ".join(melt.sources) for sheet in paper.runs for melt in sheet.melts}
    sources |= {caution.source for caution in paper.cautions} | {sheet.address for sheet in paper.runs}
    names = set(re.findall(r"[A-Za-z]{4,}", campaign.model_dump_json()))
    names |= {"assembly", "pack", "dispatch", "normal", "world", *(facts.name for facts in paper.customs)}
    own = campaign.purging.compound.cautions if campaign.purging.compound else []
    unknown = {one for one in english & german - sources if not names.issuperset(re.findall(r"[A-Za-z]{4,}", one))}
    assert unknown == set()
    for word in (" the ", " before ", " with ", " from ", " nobody "):
        assert [one for one in german - sources if word in one and not any(text in one for text in own)] == []


def test_the_pdf_is_in_the_language_that_is_asked_for(app):
    """The sheet's own words, its figures, weights in pounds; the JSON stays as it is; of no other language."""
    plan_id = publish_pots(app.service)
    asked = app.client.get(f"/v1/plans/{plan_id}/paper.pdf?language=de&weights=lb")
    printed = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(asked.content)).pages)
    for words in ("Vor dem ersten guten Schuss", "Packtisch", "Übergabeliste", "Einkaufsliste", "Stichprobe ansehen"):
        assert words in printed
    assert re.search(r"\d\s?lb", printed)
    for words in ("Before the first", "Pack bench", "Buying list", "sheet 1 of"):
        assert words not in printed
    assert app.client.get(f"/v1/plans/{plan_id}/paper?language=de").json()["document"] == "workshop-paper/1"
    assert app.client.get(f"/v1/plans/{plan_id}/paper.pdf?language=xx").status_code == 422
    labels = app.client.get(f"/v1/plans/{plan_id}/labels.pdf?language=de").content
    assert " von " in " ".join(page.extract_text() for page in PdfReader(io.BytesIO(labels)).pages)
    page = app.client.get(f"/plans/{plan_id}/paper", headers={"accept-language": "de"}).text
    assert f"/v1/plans/{plan_id}/paper.pdf?size=a4&amp;language=de" in page


def test_the_pdf_is_the_answers(app):
    """What is printed under the plan's address is what the JSON answer under it says, and a promise joins both."""
    plan_id = publish_pots(app.service)
    before = app.client.get(f"/v1/plans/{plan_id}/paper")
    assert before.status_code == 200
    assert before.json()["sure"] == before.json()["left_out"] == []
    simulate(app.service, plan_id, make_promise(pot_campaign(), pot_plan(), 100))
    said = app.client.get(f"/v1/plans/{plan_id}/paper").json()
    assert [one["tier"] for one in said["sure"]] == [tier.tier for tier in pot_plan().tiers]
    pdf = app.client.get(f"/v1/plans/{plan_id}/paper", headers={"Accept": "application/pdf"})
    assert pdf.headers["content-type"] == "application/pdf"
    reader = PdfReader(io.BytesIO(pdf.content))
    assert reader.metadata["/Creator"].strip() == "Shot to Ship"
    assert reader.xmp_metadata.xmp_creator_tool.strip() == "Shot to Ship"
    printed = dense("".join(page.extract_text() for page in reader.pages))
    assert "people who fall ill" in said["left_out"]
    assert dense(f"Even the day that is almost certain does not allow for: {'; '.join(said['left_out'])}.") in printed
    for one in said["sure"]:
        assert dense(wording.day(date.fromisoformat(one["by"]))) in printed
    for sheet in said["runs"]:
        assert dense(sheet["address"]) in printed
    assert app.client.get(f"/v1/plans/{plan_id}/paper.pdf").content[:5] == b"%PDF-"


def test_sheets_have_the_size_asked_for(app):
    """ISO 216 A4 is 210 x 297 mm, Letter 8.5 x 11 in; PDF points are 1/72 in."""
    plan_id = publish_pots(app.service)
    for size, width, height in (("a4", 210 / 25.4 * 72, 297 / 25.4 * 72), ("letter", 8.5 * 72, 11 * 72)):
        pdf = app.client.get(f"/v1/plans/{plan_id}/paper.pdf?size={size}").content
        for page in PdfReader(io.BytesIO(pdf)).pages:
            assert float(page.mediabox.width) == pytest.approx(width, abs=0.1)
            assert float(page.mediabox.height) == pytest.approx(height, abs=0.1)


def test_every_run_has_a_sheet_of_its_own_with_boxes_to_sign(app):
    """A sheet a run, with where to write what was made and who did it."""
    plan = pot_plan()
    pdf = app.client.get(f"/v1/plans/{publish_pots(app.service)}/paper.pdf").content
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages]
    for run in plan.runs:
        # The end of the address and what follows it: a plan's id is drawn, and may hold the letters of a run's.
        end = dense(f"?run={run.id} Material")
        sheet = [text for text in pages if f"{run.press}: {run.tool}" in text and end in dense(text)]
        assert len(sheet) == 1
        assert "set up by" in sheet[0]
        assert "first shots good" in sheet[0]


def test_no_sheet_holds_nothing_but_where_to_sign():
    """Who set up and looked at the first shots signs beside the shots, whatever does not fit on the sheet."""
    for name in ("the demo", "worked by hand", "a random one"):
        campaign, plan, sure = whose(name)
        paper = write_paper(plan, campaign, 1, "http://127.0.0.1:8000/plans/x", sure)
        pages = [
            page.extract_text()
            for page in PdfReader(io.BytesIO(print_pdf(paper, swatches(campaign.colours), "a4"))).pages
        ]
        signed = [text for text in pages if "set up by" in text]
        assert len(signed) == len(plan.runs)
        assert all("made" in text and "scrap" in text for text in signed)


def test_a_stretch_says_its_shots_and_those_of_its_restart():
    """Of the lids: 187 shots until closing, then ten to restart and 568; where nothing restarts a dash stands."""
    campaign, plan = pot_campaign(), pot_plan()
    sheets = written(write_paper(plan, campaign, 1, "http://127.0.0.1:8000/plans/x"), swatches(campaign.colours))
    told = [[row[2:] for row in sheet["stretches"]] for sheet in sheets["runs"]]
    assert told == [
        [[str(one.restart_shots) if one.restart_shots else "–", str(one.shots)] for one in run.stretches]
        for run in plan.runs
    ]
    assert [["–", "187"], ["10", "568"]] in told


def test_melt_on_the_run_sheets_is_what_the_buying_list_uses(answer):
    """Kilograms reconcile (A11): melt of all runs = moulded + start-up + purge of resin and masterbatch."""
    drawn = sum(melt["melt_kg"] for sheet in answer["runs"] for melt in sheet["melts"])
    plan = pot_plan()
    assert drawn == pytest.approx(sum(m.moulded_kg + m.startup_kg + m.purge_kg for m in plan.materials), rel=1e-6)


def test_the_manifest_holds_every_parcel_once(answer):
    """Each pick-up's consignments add to its parcels, all pick-ups to the tiers' parcels (A10)."""
    for sheet in answer["pick_ups"]:
        assert sum(c["parcels"] for c in sheet["consignments"]) == sheet["parcels"]
    listed = [batch for sheet in answer["pick_ups"] for c in sheet["consignments"] for batch in c["batches"]]
    assert sorted(listed) == sorted(batch.id for batch in pot_plan().batches)
    assert sum(s["parcels"] for s in answer["pick_ups"]) == sum(t["parcels"] for t in answer["tiers"])


def test_pack_list_and_manifest_say_which_part_of_its_orders_a_parcel_is():
    """In the PDF's own text, of every batch of a split tier; nothing of the kind behind a tier that goes out whole."""
    campaign, plan = planned(split_campaign(), 1)
    assert {batch.part for batch in plan.batches if batch.parts == 2} == {1, 2}
    paper = write_paper(plan, campaign, 1, "http://127.0.0.1:8000/plans/x")
    pages = [
        page.extract_text() for page in PdfReader(io.BytesIO(print_pdf(paper, swatches(campaign.colours), "a4"))).pages
    ]
    bench = dense(next(text for text in pages if text.startswith("Pack bench")))
    manifest = dense(next(text for text in pages if text.startswith("Dispatch manifest")))
    sheets = written(paper, swatches(campaign.colours))
    for row, batch in zip(sheets["packing"], paper.packing, strict=True):
        part = f", part {batch.part} of 2" if batch.tier == "set" else ""
        assert dense(f"{batch.tier}, {batch.region}{part}{row[2]}") in bench
    for pick_up in paper.pick_ups:
        for line in pick_up.consignments:
            part = f", part {line.part} of 2" if line.tier == "set" else ""
            assert (
                dense(f"{line.region}{line.tier}{part}{line.parcels}{wording.work_numbers(line.batches)}") in manifest
            )
            assert {(b.part, b.parts) for b in plan.batches if b.id in line.batches} == {(line.part, line.parts)}


def test_parts_of_the_same_orders_are_counted_apart_at_a_pick_up():
    """Where both leave with one pick-up, whoever counts them out finds a line for each."""
    campaign, plan = planned(split_campaign(), 1)
    at_once = plan.dispatches[0].model_copy(update={"batches": [batch.id for batch in plan.batches]})
    paper = write_paper(plan.model_copy(update={"dispatches": [at_once]}), campaign, 1, "http://127.0.0.1:8000/plans/x")
    (pick_up,) = paper.pick_ups
    lines = [(c.region, c.tier, c.part, c.parts, c.parcels) for c in pick_up.consignments]
    assert lines == [
        ("far", "set", 1, 2, 1), ("far", "set", 2, 2, 1), ("home", "one", 1, 1, 5), ("home", "set", 1, 2, 60),
        ("home", "set", 2, 2, 60),
    ]  # fmt: skip


def test_sampling_follows_the_published_tables(answer):
    """MIL-STD-105E: a lot of 501 to 1200 at level II is letter J, n 80; AQL 2.5: accept 5, AQL 0.65: accept 1."""
    samples = [s for sheet in answer["runs"] for s in sheet["samples"] if 501 <= s["lot"] <= 1200]
    assert samples
    for sample in samples:
        assert (sample["letter"], sample["n"]) == ("J", 80)
        assert (sample["accept"], sample["reject"]) == {2.5: (5, 6), 0.65: (1, 2)}[sample["aql"]]


@pytest.mark.parametrize(
    ("family", "melt", "mould"),
    [
        ("PP", "204 to 260 °C", "21 to 49 °C"),  # general guide of plastic-industry.com, degrees F converted
        ("ABS", "199 to 282 °C", "38 to 82 °C"),  # the same
        ("PEEK", None, "unknown: ask the supplier"),
        ("other", "unknown: ask the supplier", "unknown: ask the supplier"),
    ],
)
def test_a_run_sheet_says_what_is_known_of_heat_and_that_the_rest_is_unknown(family, melt, mould):
    """By the resin's family, with the source; nothing is made up for a family without figures."""
    campaign, plan = pot_campaign(), pot_plan()
    resins = campaign.resins | {"pp": campaign.resins["pp"].model_copy(update={"family": family})}
    resins["resin"] = resins["pp"]
    told = campaign.model_copy(update={"resins": resins})
    run = plan.runs[0].model_copy(update={"melts": ["resin/white"]})
    row = written(
        write_paper(plan.model_copy(update={"runs": [run]}), told, 1, "http://127.0.0.1/plans/x"),
        swatches(campaign.colours),
    )["runs"][0]["heat"][0]
    assert row[3] == mould
    if melt is not None:
        assert row[2] == melt
    assert bool(row[5]) == (row[2] != "unknown: ask the supplier" or row[3] != "unknown: ask the supplier")


@pytest.mark.parametrize(
    ("late", "promised", "chance", "words"),
    [
        (0, True, None, "on time if all goes as planned"),
        (0, True, 0.92, "on time, holds in 92"),
        (0, True, 0.6, "not safe: holds in 60"),
        (0, True, 0.02, "more likely late: holds in 2"),
        (3, True, 0.02, "3 days late"),
        (0, False, None, "nothing promised"),
    ],
)
def test_on_time_never_stands_beside_a_promise_that_hardly_holds(late, promised, chance, words):
    """What a plan says of a promised day once its promise is simulated."""
    said = wording.kept(late, promised, chance)
    assert said.startswith(words)
    assert ("on time" in said) == (chance is None or chance >= 0.8) or late or not promised


def test_one_sheet_says_to_fill_a_dryer_and_the_next_that_it_was_filled():
    """What several runs draw from is filled for the first of them, at a moment that its sheet can still keep."""
    campaign, plan, sure = whose("the demo")
    paper = write_paper(plan, campaign, 1, "http://127.0.0.1:8000/plans/x", sure)
    said: dict[str, list[str]] = {}
    for run in written(paper, swatches(campaign.colours))["runs"]:
        for title, how in (step for step in run["steps"] if step[0].lower().find("dryer") >= 0 and "dry at" in step[1]):
            said.setdefault(how, []).append(title)
    assert len(said) == len(plan.drying)
    assert max(map(len, said.values())) > 1, "nothing is drawn by two runs here"
    for titles in said.values():
        assert sum("fill in" in title for title in titles) == 1
        assert sum("was filled for an earlier run" in title for title in titles) == len(titles) - 1
    first = next(run for run in plan.runs if run.id == plan.drying[0].runs[0])
    assert plan.drying[0].load_at <= first.stretches[0].start
