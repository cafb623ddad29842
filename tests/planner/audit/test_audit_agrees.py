"""Two readings of one text: the auditor's own hours, pick-ups, explosion and shots against the planner's.

Neither side imports the other; where they differ, one of them misreads RULES.md.
"""

from collections.abc import Callable
from datetime import date, datetime, time, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmarks.generator import small
from planner.audit.case import Case
from planner.audit.moments import Clock
from planner.audit.opening import Openings, Shift, people_there, shifts
from planner.calendars.clock import Clock as PlannersClock
from planner.calendars.stretches import stretches
from planner.campaign.benches import Bench
from planner.demand.items import run_demands
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan
from tests.support.sampled import examples

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
ZONES = (
    "Europe/London",
    "America/New_York",
    "Australia/Lord_Howe",
    "Asia/Kolkata",
    "Pacific/Apia",
    "Africa/Casablanca",
)
FIRST = date(2026, 10, 19)


@st.composite
def spans(draw: Callable[..., int]) -> str:
    """Spans of one day that do not overlap; the last may run past midnight."""
    cuts = sorted(draw(st.lists(st.integers(0, 1439), min_size=2, max_size=6, unique=True)))
    cuts = cuts[: len(cuts) // 2 * 2]
    if draw(st.booleans()):
        cuts[-1] = draw(st.integers(0, cuts[0])) if cuts[0] else 1440
    people = draw(st.integers(1, 4))
    said = [f"{a // 60:02}:{a % 60:02}-{b // 60:02}:{b % 60:02}" for a, b in zip(cuts[::2], cuts[1::2], strict=True)]
    return ", ".join([*said[:-1], f"{said[-1]} x{people}"])


@st.composite
def benches(draw: Callable[..., int]) -> Bench:
    """A bench open on some weekdays, otherwise on some dates."""
    week = draw(st.dictionaries(st.sampled_from(DAYS), spans(), max_size=7))
    dates = st.integers(0, 20).map(lambda n: FIRST + timedelta(days=n))
    dated = draw(st.dictionaries(dates, st.one_of(spans(), st.just("closed")), max_size=4))
    return Bench(hours=week, on_dates=dated, people=draw(st.integers(1, 3)))


@given(benches(), st.lists(st.integers(0, 20), max_size=3), st.sampled_from(ZONES))
@settings(max_examples=examples(120), deadline=None)
def test_both_read_hours_alike(bench: Bench, holidays: list[int], zone: str) -> None:
    """Open seconds with their people, across the clock changes of late October."""
    closed = [FIRST + timedelta(days=n) for n in holidays]
    theirs = PlannersClock.starting(datetime.combine(FIRST, time()), zone)
    origin = Clock(zone).at(FIRST)
    ours = people_there(shifts(bench, closed, Clock(zone), FIRST - timedelta(1), FIRST + timedelta(18), bench.people))
    planned = [
        Shift(s.start + origin, s.end + origin, s.people)
        for s in stretches(bench, closed, theirs, 19, bench.people, headcount=True)
    ]
    assert _merged(ours, origin) == _merged(planned, origin)
    pressed = [(s.start + origin, s.end + origin) for s in stretches(bench, closed, theirs, 19)]
    assert [(max(a, origin), b) for a, b in Openings(ours).stretches if b > origin] == pressed


def _merged(found: list[Shift], origin: int) -> list[Shift]:
    """Pieces after the start, those that touch with as many people made one."""
    whole: list[Shift] = []
    for shift in found:
        start = max(shift.start, origin)
        if start >= shift.end:
            continue
        if whole and whole[-1].end == start and whole[-1].people == shift.people:
            whole[-1] = Shift(whole[-1].start, shift.end, shift.people)
        else:
            whole.append(Shift(start, shift.end, shift.people))
    return whole


@pytest.mark.parametrize("seed", range(25))
def test_both_explode_orders_alike(seed: int) -> None:
    """Ordered, spares, stock, to mould and shots of every item of a random small campaign."""
    campaign = small(seed)
    case = Case(campaign, pot_plan().model_copy(update={"runs": []}))
    planned = {item.item: item for run in run_demands(campaign) for item in run.items}
    for item, need in case.needs.items():
        if need.to_mould:
            theirs = planned.pop(item)
            assert (need.ordered, need.spares, need.stock, need.to_mould, case.shots_alone(item)) == (
                theirs.ordered,
                theirs.spares,
                theirs.stock,
                theirs.to_mould,
                theirs.counting_shots,
            )
    assert not any(item.to_mould for item in planned.values())


def test_the_case_reads_the_pot_workshop() -> None:
    """Shot masses as worked by hand: 16 g, and 35 g with 8 g."""
    masses = {work.run.id: [float(g) for g in work.shot_g] for work in Case(pot_campaign(), pot_plan()).works}
    assert masses == {"r1": [16], "r2": [16], "r3": [35, 8], "r4": [35, 8]}
