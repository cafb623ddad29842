"""Work between press and assembly, by hand and against scipy; with it the plan is another than without."""

from datetime import date, datetime
from fractions import Fraction
from typing import Any

import pytest
from scipy import stats

from planner.actuals.entries import Actuals
from planner.actuals.remaining_campaign import from_here
from planner.calendars.clock import Clock
from planner.calendars.firms import journeys
from planner.campaign.finishing import FinishingFirm, FinishingStep, goes_in, scrap_from
from planner.campaign.uncertainty import ThreePoint
from planner.control import Unhurried
from planner.demand.items import run_demands
from planner.demand.scrap import chance_over
from planner.errors import CampaignProblems
from planner.planning.make import make_plan
from planner.reading import read
from tests.support.finishing import pot_document

PRINTING = {"what": "pad printing", "at": "printing", "minutes": 0.5, "scrap_share": 0.01}


def printed(**said: Any) -> dict[str, Any]:
    data = pot_document()
    data["finishing_benches"] = {"printing": {"hours": {"mon-fri": "08:00-16:00"}}}
    data["parts"]["pot"]["finishing"] = [PRINTING | said]
    return data


def problems(data: dict[str, Any]) -> list[str]:
    with pytest.raises(CampaignProblems) as refused:
        read(data)
    return [problem.pointer for problem in refused.value.problems]


@pytest.mark.parametrize(("scrap", "spoils"), [(0.0, 0.01), (0.03, 0.02), (0.1, 0.25)])
def test_shots_are_scipys_quantile(scrap: float, spoils: float) -> None:
    """Bad ones before the Q-th good one: scipy.stats.nbinom, of parts that survive the press and the bench."""
    data = printed(scrap_share=spoils)
    data["tools"]["pot"] |= {"scrap_share": scrap, "cavities": {"pot": 1}}
    (cream, sage) = run_demands(read(data))
    good = (1 - scrap) * (1 - spoils)
    assert cream.shots == 600 + stats.nbinom.ppf(0.95, 600, good)
    assert sage.shots == 400 + stats.nbinom.ppf(0.95, 400, good)


def test_unsure_scrap_is_mixed_with_what_is_spoilt() -> None:
    """Against drawing scrap 200,000 times from its triangle, binomial tails by scipy."""
    law = ThreePoint(early=0.01, likely=0.02, late=0.08, shape="triangular")
    scrap = stats.triang.rvs(1 / 7, loc=0.01, scale=0.07, size=200_000, random_state=1)
    drawn = stats.binom.sf(599, 650, (1 - scrap) * (1 - 0.03)).mean()
    assert chance_over(law, 650, 600, 0.03) == pytest.approx(drawn, abs=0.003)
    assert chance_over(law, 650, 600, 0.0) > drawn + 0.05


def test_what_goes_into_each_step() -> None:
    """100 good after both: 100 / 0.98 into the second, 100 / 0.98 / 0.95 into the first."""
    steps = [FinishingStep(what="a", at="x", scrap_share=0.05), FinishingStep(what="b", at="x", scrap_share=0.02)]
    assert goes_in(steps, 1, 100) == Fraction(100, 1) / Fraction(98, 100)
    assert float(goes_in(steps, 0, 100)) == pytest.approx(107.411, abs=1e-3)
    assert float(scrap_from(steps)) == pytest.approx(0.069)


def test_a_lots_way() -> None:
    """By hand: on Tuesday 26 January at 16:00 it leaves, is there on Thursday, worked on Friday (the firm's Monday is
    closed) and Tuesday, back on Wednesday, which is a holiday here: Thursday 4 February at 16:00, a clock's week later.
    Over 28 March the clock goes forward and the wall's 16:00 stays 16:00."""
    firm = FinishingFirm(
        leaves=["tue"], there_days=2, lead_days=2, back_days=1, closed_days=[date(2027, 2, 1)]
    )  # fmt: skip
    clock = Clock.starting(datetime(2027, 1, 20, 6), "Europe/London")
    ways = journeys(firm, [date(2027, 2, 3)], clock, 80)
    told = [(clock.moment(leaves), clock.moment(back)) for leaves, back in ways]
    assert [moment.replace(tzinfo=None) for moment in told[0]] == [datetime(2027, 1, 26, 16), datetime(2027, 2, 4, 16)]
    summer = next(back for leaves, back in told if leaves.date() == date(2027, 3, 23))
    assert (summer.hour, summer.utcoffset().total_seconds()) == (16, 3600)


def pots_with_lids(promised: str) -> dict[str, Any]:
    """2,000 pots with lids off one press, in which the pot's tool stands."""
    data = pot_document()
    data["presses"]["big"] |= {"tool": "pot", "hours": {"mon-fri": "06:00-13:00"}}
    data["orders"] = [{"tier": "one", "units": {"pot": ["cream"]}, "count": 2000}]
    data["parts"]["lid"] = {"barrels": [{"resin": "pp", "mass_g": 20}]}
    data["tools"]["lid"] = {"cavities": {"lid": 2}, "cycle_s": 20, "mount_minutes": 20, "presses": ["big"]}
    data["products"]["pot"]["parts"]["lid"] = 1
    for colours in data["products"]["pot"]["colourways"].values():
        colours["lid"] = colours["pot"]
    data["assembly"] = {"people": 8}
    data["packing"] = {"people": 8}
    data["tiers"]["one"] |= {"promised": promised, "late_cost_per_day": 5}
    return data


def test_a_bench_that_prints_one_part_changes_the_order_of_work() -> None:
    """Lids take their printer, one person, 16 h 40 min, nearly three days: for Thursday's van they go first."""
    data = pots_with_lids("2027-01-14")
    data["pick_ups"] = {"days": ["thu"], "time": "17:00"}
    before = make_plan(read(data), Unhurried())
    data["finishing_benches"] = {"printer": {"hours": {"mon-fri": "07:00-13:00"}}}
    data["parts"]["lid"]["finishing"] = [{"what": "pad printing", "at": "printer", "minutes": 0.5}]
    after = make_plan(read(data), Unhurried())
    assert [run.tool for run in sorted(before.runs, key=lambda run: run.start)] == ["pot", "lid"]
    assert min(after.runs, key=lambda run: run.start).tool == "lid"
    assert (before.tiers[0].days_late, after.tiers[0].days_late) == (0, 0)


def test_a_firm_that_paints_one_part_changes_the_order_of_work() -> None:
    """The pot's tool stands in the press; its lid is painted: it catches Tuesday's van only if it is moulded first."""
    data = pots_with_lids("2027-01-22")
    before = make_plan(read(data), Unhurried())
    data["finishing_firms"] = {"painter": {"leaves": ["tue"], "lead_days": 3}}
    data["parts"]["lid"]["finishing"] = [{"what": "painting", "at": "painter"}]
    after = make_plan(read(data), Unhurried())
    assert [run.tool for run in sorted(before.runs, key=lambda run: run.start)] == ["pot", "lid"]
    assert min(after.runs, key=lambda run: run.start).tool == "lid"
    assert after.tiers[0].days_late == 0


def test_finished_parts_in_stock_need_no_bench() -> None:
    """600 + 400 pots, 150 cream ones printed in stock, 100 moulded: 99 of these are good; 850 pass the bench."""
    data = printed()
    data["parts"]["pot"]["stock"] = [
        {"colours": ["cream"], "count": 150},
        {"colours": ["cream"], "count": 100, "finished": False},
    ]
    plan = make_plan(read(data), Unhurried())
    cream = next(line for line in plan.balance if line.colours == ["cream"])
    assert (cream.stock, cream.to_mould) == (249, 351)
    assert sum(part.good for job in plan.finishing for part in job.parts) == 850
    first = min(plan.finishing, key=lambda job: job.start)
    assert first.start.hour == 8  # moulded ones in stock are printed at once


def test_all_in_stock_travels_too() -> None:
    """Nothing is to be moulded of sage: 500 lie there unpainted, go on Tuesday and are back a week later."""
    data = pot_document()
    data["orders"] = data["orders"][1:]
    data["finishing_firms"] = {"painter": {"leaves": ["tue"], "lead_days": 3}}
    data["parts"]["pot"] |= {
        "finishing": [{"what": "painting", "at": "painter", "lot_parts": 200}],
        "stock": [{"colours": ["sage"], "count": 500, "finished": False}],
    }
    plan = make_plan(read(data), Unhurried())
    assert plan.runs == []
    assert [(lot.good, lot.visits[0].back.day) for lot in plan.finishing_lots] == [(200, 19), (200, 19), (100, 19)]
    assert min(job.start for job in plan.assembly).day >= 19


def test_from_the_log_what_is_moulded_is_not_finished() -> None:
    """100 shots of two are counted, 50 units assembled: the other 150 pots are still to be printed."""
    campaign = read(printed())
    entries = [
        {"what": "shots", "at": "2027-01-11T12:00", "tool": "pot", "colours": ["cream"], "shots": 100, "press": "big"},
        {"what": "assembled", "at": "2027-01-11T13:00", "product": "pot", "colourway": "cream", "units": 50},
    ]
    now = from_here(campaign, None, Actuals.model_validate({"as_of": "2027-01-12T06:00", "entries": entries}))
    stock = {(one.count, one.finished) for one in now.campaign.parts["pot"].stock}
    assert stock == {(50, True), (150, False)}
    assert any("planned anew" in note for note in now.notes)


REFUSED: dict[str, tuple[dict[str, Any], str]] = {
    "nobody does it": ({"at": "someone"}, "/parts/pot/finishing/0/at"),
    "lots on a bench": ({"lot_parts": 10}, "/parts/pot/finishing/0/lot_parts"),
    "spoils nearly all": ({"scrap_share": 0.97}, "/parts/pot/finishing"),
    "a colour that is not said": ({"gives_colour": True}, "/products/pot/finished_in"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_makes_no_sense_is_refused(name: str) -> None:
    said, pointer = REFUSED[name]
    assert pointer in problems(printed(**said))


def test_what_makes_no_sense_elsewhere_is_refused() -> None:
    data = printed()
    data["finishing_benches"]["printing"]["hours"] = {}
    assert problems(data) == ["/finishing_benches/printing/hours"]
    data = printed()
    data["finishing_firms"] = {"painter": {"works": []}, "welding": {}}
    data["finishing_benches"]["welding"] = {}
    data["parts"]["pot"]["finishing"] += [{"what": "painting", "at": "painter", "minutes": 3}]
    assert problems(data) == [
        "/finishing_firms/welding", "/finishing_firms/painter/works", "/parts/pot/finishing/1/minutes",
        "/parts/pot/finishing/1/at",
    ]  # fmt: skip
    data = printed(gives_colour=True)
    data["products"]["pot"]["finished_in"] = {way: {"pot": way} for way in ("cream", "sage", "blue")}
    data["parts"]["pot"]["stock"] = [{"colours": ["cream"], "count": 5}]
    assert problems(data) == ["/parts/pot/stock/0/finished", "/products/pot/finished_in/blue"]
    data = pot_document()
    data["parts"]["pot"]["stock"] = [{"colours": ["cream"], "count": 5, "finished": False}]
    data["products"]["pot"]["finished_in"] = {"cream": {"pot": "red"}}
    assert problems(data) == ["/parts/pot/stock/0/finished", "/products/pot/finished_in/cream/pot"]
    data = printed(minutes=50_000)
    assert problems(data) == ["/finishing_benches/printing"]
    data = printed()
    data["finishing_benches"]["welding"] = {}
    data["parts"]["pot"]["finishing"].insert(0, {"what": "welding", "at": "welding"})
    assert problems(data) == ["/parts/pot/finishing/1/at"]
