"""Drying loads: when to fill which dryer with how much, what tops it up, and how long dried resin stays in it."""

from datetime import datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.material import Drying, DryingDraw, drying_loads

LONDON = ZoneInfo("Europe/London")


def at(day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(2027, 1, day, hour, minute, tzinfo=LONDON)


def test_a_load_is_dry_when_its_run_begins():
    """Four hours of drying before a 10:00 start: in at 06:00."""
    (load,) = drying_loads(
        [DryingDraw("r1", "abs", at(12, 10), at(12, 13), 18)], {"abs": Drying("hopper", 4, 85, holds_kg=25)}
    )
    assert (load.load_at, load.dry_at, load.kg, load.fill_kg, load.waits_hours) == (at(12, 6), at(12, 10), 18, 18, 3)
    assert load.caution == ""


def test_a_dryer_is_topped_up_as_it_is_drawn_from():
    """Common sizing rule for hopper dryers: hopper = draw x drying time. 10 kg/h x 4 h asks for 40 kg; what is drawn
    over nine hours is those and 50 kg more."""
    draw = [DryingDraw("r1", "abs", at(12, 6), at(12, 15), 90)]
    (load,) = drying_loads(draw, {"abs": Drying("hopper", 4, holds_kg=40)})
    assert (load.load_at, load.dry_at, load.kg, load.fill_kg) == (at(12, 2), at(12, 6), 90, 40)
    assert load.waits_hours == 4, "the last of the filling; what tops it up is drawn as it is dry"


def test_a_pause_shorter_than_drying_is_one_load_and_a_longer_one_two():
    """Two colours of one resin on one morning; the next day's is filled in anew."""
    draws = [
        DryingDraw("r1", "abs", at(12, 8), at(12, 9), 5),
        DryingDraw("r2", "abs", at(12, 11), at(12, 12), 5),
        DryingDraw("r3", "abs", at(13, 8), at(13, 9), 5),
    ]
    loads = drying_loads(draws, {"abs": Drying("h", 3, holds_kg=15)})
    assert [(x.kg, x.runs) for x in loads] == [(10, ("r1", "r2")), (5, ("r3",))]


def test_a_long_wait_is_cautioned():
    """Drying takes six hours, so the first six hours of the day come out of one filling."""
    day = [(at(11, 6), at(11, 22)), (at(12, 8), at(12, 22))]
    (load,) = drying_loads(
        [DryingDraw("r1", "pet", at(12, 8), at(12, 20), 12)], {"pet": Drying("h", 6, keeps_hours=12)}, day
    )
    assert (load.load_at, load.fill_kg, load.waits_hours) == (at(11, 21, 55), 6, 6)
    assert "up to 6.0 h" in load.caution


def test_two_resins_share_a_dryer_one_after_the_other():
    """Emptied by 11:00 and cleaned for 20 minutes; the other resin is dry two hours after that at the earliest."""
    draws = [DryingDraw("r1", "abs", at(12, 10), at(12, 11), 5), DryingDraw("r2", "tpe", at(12, 14), at(12, 15), 5)]
    terms = {"abs": Drying("h", 3), "tpe": Drying("h", 2)}
    loads = drying_loads(draws, terms, cleaning=timedelta(minutes=20))
    assert [(x.resin, x.cleaned_from, x.cleaned_until, x.load_at, x.dry_at) for x in loads] == [
        ("abs", None, None, at(12, 7), at(12, 10)),
        ("tpe", at(12, 11), at(12, 11, 20), at(12, 12), at(12, 14)),
    ]


def test_a_dryer_is_cleaned_in_one_go_while_somebody_is_there():
    """Emptied at 13:50, and people leave at 14:00: it is cleaned the next morning."""
    day = [(at(11, 6), at(11, 14)), (at(12, 6), at(12, 14)), (at(13, 6), at(13, 14))]
    draws = [DryingDraw("r1", "abs", at(12, 10), at(12, 13, 50), 5), DryingDraw("r2", "tpe", at(13, 9), at(13, 12), 5)]
    loads = drying_loads(draws, {"abs": Drying("h", 3), "tpe": Drying("h", 2)}, day, timedelta(minutes=20))
    assert (loads[1].cleaned_from, loads[1].cleaned_until) == (at(13, 6), at(13, 6, 20))
    assert (loads[1].load_at, loads[1].dry_at) == (at(13, 7), at(13, 9))


def test_drying_hours_are_real_hours_across_a_clock_change():
    """28 March 2027: a 06:00 start less six real hours is 23:00 the evening before."""
    start, end = datetime(2027, 3, 28, 6, tzinfo=LONDON), datetime(2027, 3, 28, 8, tzinfo=LONDON)
    (load,) = drying_loads([DryingDraw("r1", "pa", start, end, 4)], {"pa": Drying("h", 6)})
    assert load.load_at.isoformat() == "2027-03-27T23:00:00+00:00"


@given(
    st.lists(
        st.tuples(st.integers(0, 200), st.integers(1, 12), st.floats(0.1, 90), st.booleans()), min_size=1, max_size=8
    ),
    st.floats(1, 12),
)
def test_every_kilogram_is_dried_in_time(draws, hours):
    """Of any draws of two resins with a dryer each: loads add up to them, each is dry as it is first drawn from and put
    in its hours before, no two of one dryer overlap in use, and nothing waits beyond the longest pause."""
    terms = {"abs": Drying("h", hours), "pa": Drying("i", 5.5)}
    hour, zero = 3600, at(4, 0).timestamp()
    asked = [
        DryingDraw(
            f"r{n}",
            "pa" if other else "abs",
            datetime.fromtimestamp(zero + start * hour, LONDON),
            datetime.fromtimestamp(zero + (start + length) * hour, LONDON),
            kg,
        )
        for n, (start, length, kg, other) in enumerate(draws)
    ]
    loads = drying_loads(asked, terms)
    assert sum(x.kg for x in loads) == pytest.approx(sum(d.kg for d in asked))
    for load in loads:
        taken = terms[load.resin].hours
        assert 0 < load.fill_kg <= load.kg + 1e-9
        assert load.dry_at == load.used_from
        assert load.dry_at.timestamp() - load.load_at.timestamp() == pytest.approx(taken * hour, abs=1e-3)
        assert load.waits_hours <= max(4, taken) + taken + 1e-6
    for dryer in ("h", "i"):
        for before, after in pairwise([load for load in loads if load.dryer == dryer]):
            assert (
                after.used_from.timestamp() - before.used_until.timestamp() >= terms[before.resin].hours * hour - 1e-3
            )


def test_a_dryer_is_loaded_while_somebody_is_there():
    """Dry at 06:00 after 3 h would mean loading at 03:00: it is loaded before people leave the evening before, and its
    timer has it dry at 06:00."""
    day = (at(11, 6), at(11, 22))
    draw = [DryingDraw("r1", "abs", at(12, 6), at(12, 8), 5)]
    (load,) = drying_loads(draw, {"abs": Drying("h", 3)}, people=[day, (at(12, 6), at(12, 22))])
    assert (load.load_at, load.dry_at, load.waits_hours) == (at(11, 21, 55), at(12, 6), 2)
    (load,) = drying_loads(draw, {"abs": Drying("h", 3)})
    assert load.load_at == at(12, 3)
