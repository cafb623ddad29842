"""A whole plan out as lists and calendar: nothing missing, nothing twice, sums equal to the plan's."""

import csv
import io
import math
import re
from collections import Counter
from datetime import UTC, date, datetime, timedelta

import openpyxl
import pytest
from ical.calendar_stream import IcsCalendarStream

from api.exports.calendar import calendar_bytes
from api.exports.csv_lists import csv_bytes
from api.exports.plan_events import key_events, plan_events
from api.exports.plan_lists import plan_lists
from api.exports.plan_sheets import plan_sheets
from api.exports.values import Calculated
from api.exports.workbook import workbook_bytes
from api.languages import wording
from benchmarks.generator import small
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.plan import RunPlan
from planner.plan.labels import labels
from planner.plan.packers_walk import by_number
from planner.planning.make import make_plan
from planner.reading import read
from tests.planner.audit.test_audit_heat import document

Made = tuple[Campaign, RunPlan]
SEEDS = (0, 1, 2, 5)


@pytest.fixture(scope="module")
def plans() -> list[Made]:
    """Plans of random small campaigns."""
    made = []
    for seed in SEEDS:
        campaign = small(seed)
        quick = campaign.planning.model_copy(update={"rounds": 1})
        campaign = campaign.model_copy(update={"planning": quick})
        made.append((campaign, make_plan(campaign, Unhurried())))
    return made


def as_dicts(campaign: Campaign, plan: RunPlan, name: str) -> list[dict[str, object]]:
    """One list, rows by heading."""
    headings, rows = plan_lists(campaign, plan)[name]
    told = ([cell.value if isinstance(cell, Calculated) else cell for cell in row] for row in rows)
    return [dict(zip(headings, row, strict=True)) for row in told]


def test_every_list_in_one_workbook(plans: list[Made]) -> None:
    """As many rows as the plan holds things; headings unique; days and moments are real."""
    for campaign, plan in plans:
        book = openpyxl.load_workbook(io.BytesIO(workbook_bytes(plan_lists(campaign, plan))))
        rows = {sheet.title: sheet.max_row - 1 for sheet in book}
        assert rows["Runs"] == len(plan.runs)
        assert rows["Pack-out"] == len(plan.batches)
        assert rows["Dispatches"] == len(plan.dispatches)
        assert rows["Material"] == len(plan.materials)
        assert rows["Parts"] == len(plan.balance)
        assert rows["Assembly"] == len(plan.assembly)
        for sheet in book:
            headings = [cell.value for cell in sheet[1]]
            assert len(headings) == len(set(headings))
        starts = [cell.value for cell in book["Runs"]["G"][1:]]
        assert starts == [run.start.replace(tzinfo=None) for run in plan.runs]


def worked_out(formula: str, sheet: openpyxl.worksheet.worksheet.Worksheet) -> float:
    """What a formula of ours comes to: a product of cells, or a sum of cells and ranges."""
    inside = re.fullmatch(r"=(?:SUBTOTAL\(9,|SUM\()(.*)\)", formula)
    if inside is None:
        return math.prod(sheet[cell].value for cell in formula[1:].split("*"))
    total = 0.0
    for place in inside[1].split(","):
        cells = [cell for row in sheet[place] for cell in row] if ":" in place else [sheet[place]]
        total += sum(cell.value for cell in cells if isinstance(cell.value, int | float))
    return total


def test_every_formula_comes_to_the_value_beside_it(plans: list[Made]) -> None:
    """And the total of the costs to the plan's own, the last week's sum to all that is paid."""
    seen = 0
    for campaign, plan in plans:
        data = io.BytesIO(workbook_bytes(plan_sheets(campaign, plan)))
        book, values = openpyxl.load_workbook(data), openpyxl.load_workbook(data, data_only=True)
        assert book.sheetnames[:2] == ["Summary", "Cash by week"]
        assert all(sheet.max_row > 1 for sheet in book), "a sheet of headings only"
        for sheet in book:
            for row in sheet.iter_rows():
                for cell in row:
                    if cell.data_type == "f":
                        seen += 1
                        known = values[sheet.title]
                        assert worked_out(cell.value, known) == pytest.approx(known[cell.coordinate].value), cell.value
        costs = {row[0].value: row[1].value for row in values["Cost"].iter_rows(min_row=2)}
        assert costs["total"] == pytest.approx(plan.outcome.total)
        weeks = list(values["Cash by week"].iter_rows(min_row=2, values_only=True))
        if plan.cash:
            assert max(week[4] or 0 for week in weeks) == pytest.approx(sum(one.amount for one in plan.cash))
        figures = {row[0]: row[1] for row in values["Summary"].iter_rows(min_row=2, values_only=True)}
        assert figures["Runs"] == len(plan.runs)
        assert figures["Parcels"] == sum(batch.parcels for batch in plan.batches)
        assert figures[f"Cost {plan.currency}"] == pytest.approx(plan.outcome.total)
    assert seen > 100


def test_the_packing_list_is_in_the_order_of_packing(plans: list[Made]) -> None:
    """Batches by when they are packed, pick-up by pick-up, orders by number; every parcel once, labels in the same
    order."""
    for campaign, plan in plans:
        rows = as_dicts(campaign, plan, "Packing list")
        assert sum(row["Parcels"] for row in rows) == sum(batch.parcels for batch in plan.batches)
        leaves = {name: dispatch.at for dispatch in plan.dispatches for name in dispatch.batches}
        walk = [(leaves[row["Batch"]], row["Packed from"]) for row in rows]
        assert walk == sorted(walk)
        listed = [row["Order"] for row in rows for _ in range(row["Parcels"])]
        assert listed == [label.order for label in labels(campaign, plan) if label.kind == "parcel"]
    assert sorted(["#10", "#9", "b2", "B1", ""], key=by_number) == ["", "#9", "#10", "B1", "b2"]


def test_csv_lists_hold_the_same_rows(plans: list[Made]) -> None:
    """Each list as CSV has the same number of rows and columns as in the workbook."""
    for campaign, plan in plans:
        for name, (headings, rows) in plan_lists(campaign, plan).items():
            text = b"".join(csv_bytes(headings, rows)).decode("utf-8-sig")
            table = list(csv.reader(io.StringIO(text, newline="")))
            assert table[0] == list(headings)
            assert len(table) - 1 == len(as_dicts(campaign, plan, name))
            assert {len(row) for row in table} == {len(headings)}


def test_the_manifest_holds_every_order_once(plans: list[Made]) -> None:
    """Rule A10 in what leaves the house: each line's orders, no fewer, no more; parcels add up by dispatch."""
    for campaign, plan in plans:
        rows = as_dicts(campaign, plan, "Manifest")
        by_contents: Counter[object] = Counter()
        for row in rows:
            by_contents[row["Order"], row["Tier"], row["Country"]] += row["Parcels"]
        ordered: Counter[object] = Counter()
        for line in campaign.orders:
            ordered[line.ref, line.tier, line.country] += line.count
        assert by_contents == ordered
        leaving: Counter[object] = Counter()
        for row in rows:
            leaving[row["Dispatch"]] += row["Parcels"]
        assert leaving == {d.id: d.parcels for d in plan.dispatches if d.parcels}


def test_money_and_kilograms_add_up(plans: list[Made]) -> None:
    """Rule A12 and A11 as printed: cost lines to the total; moulded + start-up + purge - regrind is used."""
    for campaign, plan in plans:
        costs = {str(row["What"]): row[f"Amount {plan.currency}"] for row in as_dicts(campaign, plan, "Cost")}
        total, bound = costs.pop("total"), costs.pop("best possible cost")
        assert sum(costs.values()) == pytest.approx(total)  # type: ignore[arg-type]
        assert bound <= total * (1 + 1e-9)  # type: ignore[operator]
        for row in as_dicts(campaign, plan, "Material"):
            made = row["Moulded kg"] + row["Start-up kg"] + row["Purge kg"] - row["Regrind kg"]  # type: ignore[operator]
            assert made == pytest.approx(row["Used kg"])
        purged = sum(row["kg"] for row in as_dicts(campaign, plan, "Purges"))  # type: ignore[misc]
        assert purged == pytest.approx(plan.purge_kg)


def test_the_list_of_purges_says_when_and_clearings_are_in_it() -> None:
    """Acetal is cleared before closings: three hold-ups of barrel and hot runner, each with its own line."""
    campaign = read(document())
    plan = make_plan(campaign, Unhurried())
    rows = as_dicts(campaign, plan, "Purges")
    cleared = [row for row in rows if row["When"] == "before a closing"]
    assert {(row["Where"], row["From"], row["To"], row["kg"]) for row in cleared} == {
        ("barrel", "pom/clear", "pe/clear", 0.9), ("hot runner", "pom/clear", "pe/clear", 0.15),
    }  # fmt: skip
    assert all((row["Minutes"] is None) == (row["Where"] == "hot runner") for row in cleared)
    assert {row["When"] for row in rows} == {"in the changeover", "in a restart", "before a closing"}
    assert any(row["Bridge"] == "pe" and row["Bridge kg"] == 0.9 for row in rows)
    assert sum(row["kg"] for row in rows) == pytest.approx(plan.purge_kg)  # type: ignore[misc]


def test_the_calendar_holds_the_plan(plans: list[Made]) -> None:
    """Read back by another library: press hours, benches, order-by days and pick-ups at the plan's own instants."""
    made = datetime(2026, 11, 25, tzinfo=UTC)
    for _, plan in plans:
        data = calendar_bytes(plan.name, plan_events(plan), made).decode()
        events = {event.uid.split("@")[0]: event for event in IcsCalendarStream.calendar_from_ics(data).events}
        kinds = Counter(event.categories[0] for event in events.values())
        assert kinds["pick-up"] == len(plan.dispatches)
        assert kinds["bench"] == len(plan.assembly) + len(plan.batches)
        assert kinds["press"] == sum(len(run.stretches) + (run.changeover is not None) for run in plan.runs)
        to_order = [m.order_by for m in plan.materials] + [p.order_by for p in plan.pieces]
        assert kinds["order by"] == sum(day is not None for day in to_order)
        for dispatch in plan.dispatches:
            start = events[dispatch.id].dtstart
            assert isinstance(start, datetime)
            assert start.astimezone(UTC) == dispatch.at.astimezone(UTC)
        for run in plan.runs:
            for number, stretch in enumerate(run.stretches, start=1):
                event = events[f"{run.id}-{number}"]
                assert isinstance(event.dtstart, datetime)
                assert isinstance(event.end, datetime)
                assert event.dtstart.astimezone(UTC) == stretch.start.astimezone(UTC)
                assert event.end.astimezone(UTC) == stretch.end.astimezone(UTC)
        assert all(type(e.dtstart) is date for e in events.values() if e.categories == ["order by"])


def test_the_calendar_says_when_to_load_which_dryer() -> None:
    """Every load, from filling to dry, at its own dryer, with its kilograms, and a reminder to fill it."""
    campaign = small(3)
    dried = {"drying_hours": 0.5, "dryer_kg": 5.0, "drying_c": 60.0}
    resins = {name: resin.model_copy(update=dried) for name, resin in campaign.resins.items()}
    planning = campaign.planning.model_copy(update={"rounds": 1})
    plan = make_plan(campaign.model_copy(update={"resins": resins, "planning": planning}), Unhurried())
    assert any(load.fill_kg is not None and load.fill_kg < load.kg for load in plan.drying), "topped up as it goes"
    data = calendar_bytes(plan.name, plan_events(plan), datetime(2026, 11, 25, tzinfo=UTC)).decode()
    found = [e for e in IcsCalendarStream.calendar_from_ics(data).events if e.categories == ["dryer"]]
    assert len({event.uid for event in found}) == len(plan.drying)
    for load, event in zip(plan.drying, found, strict=True):
        assert isinstance(event.dtstart, datetime)
        assert isinstance(event.end, datetime)
        assert event.dtstart.astimezone(UTC) == load.load_at.astimezone(UTC)
        assert event.end.astimezone(UTC) == load.dry_at.astimezone(UTC)
        assert event.location == f"dryer {load.dryer}"
        assert load.fill_kg is not None
        assert f"{wording.kilograms(load.fill_kg)} {load.resin} at 60 °C" in (event.summary or "")
        assert f"{wording.kilograms(load.kg)} in all" in (event.description or "")
        assert event.alarm[0].trigger == timedelta(minutes=-15)


def test_key_days_are_days_others_are_waited_for_and_the_ends_of_moulding(plans: list[Made]) -> None:
    """No run, no bench job; ids as in the whole calendar, but for a press's first and last day."""
    for made in plans:
        plan = made[1]
        whole, key = {event.id: event for event in plan_events(plan)}, list(key_events(plan))
        outside = {event.id for event in whole.values() if event.kind in {"order by", "tool", "pick-up"}}
        assert {event.id for event in key if event.id in whole} == outside
        ends = [event for event in key if event.id not in whole]
        assert len(ends) == 2 * len({run.press for run in plan.runs})
        assert all(event.kind == "press" and not isinstance(event.start, datetime) for event in ends)
