"""Drying loads: when to load which dryer, and how long dried resin waits."""

from datetime import datetime
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
    assert (load.load_at, load.dry_at, load.kg, load.waits_hours) == (at(12, 6), at(12, 10), 18, 3)
    assert load.caution == ""


def test_a_dryer_too_small_for_the_draw_makes_resin_wait():
    """Common sizing rule for hopper dryers: hopper = draw x drying time. 10 kg/h x 4 h asks for 40 kg; with 20 kg the
    second load would still be wet, so the first must be dry two hours before it is used."""
    draw = [DryingDraw("r1", "abs", at(12, 10), at(12, 14), 40)]
    small = drying_loads(draw, {"abs": Drying("hopper", 4, holds_kg=20)})
    assert [(x.load_at, x.dry_at) for x in small] == [(at(12, 4), at(12, 8)), (at(12, 8), at(12, 12))]
    large = drying_loads(draw, {"abs": Drying("hopper", 4, holds_kg=40)})
    assert [x.dry_at for x in large] == [at(12, 10)]


def test_what_would_wait_too_long_is_dried_fresh():
    """Drawn over eight hours: two loads, the second put in while the first is used, none older than four hours."""
    draw = [DryingDraw("r1", "tpe", at(12, 8), at(12, 16), 9)]
    loads = drying_loads(draw, {"tpe": Drying("h", 3)})
    assert [(x.load_at, x.dry_at, x.kg, x.waits_hours) for x in loads] == [
        (at(12, 5), at(12, 8), 4.5, 4),
        (at(12, 9), at(12, 12), 4.5, 4),
    ]
    assert [x.caution for x in loads] == ["", ""]


def test_a_long_wait_is_cautioned():
    """Drying takes six hours, so the next load is ready only when the first has waited as long."""
    loads = drying_loads([DryingDraw("r1", "pet", at(12, 8), at(12, 20), 9)], {"pet": Drying("h", 6)})
    assert [x.waits_hours for x in loads] == [6, 6]
    assert "waits up to 6.0 h" in loads[0].caution


@given(st.floats(0.5, 40), st.floats(0.5, 4))
def test_alone_in_its_dryer_nothing_waits_longer_than_four_hours(drawn_hours, drying_hours):
    """Whatever is drawn for however long, where drying takes no longer than that."""
    end = datetime.fromtimestamp(at(12, 8).timestamp() + drawn_hours * 3600, LONDON)
    loads = drying_loads([DryingDraw("r1", "abs", at(12, 8), end, 90)], {"abs": Drying("h", drying_hours)})
    assert all(x.waits_hours <= 4 + 5 / 3600 for x in loads)
    assert sum(x.kg for x in loads) == pytest.approx(90)


def test_two_resins_share_a_dryer_one_after_the_other():
    """Both wanted at 10:00: one is dried first and waits while the other dries."""
    draws = [DryingDraw("r1", "abs", at(12, 10), at(12, 11), 5), DryingDraw("r2", "tpe", at(12, 10), at(12, 11), 5)]
    loads = drying_loads(draws, {"abs": Drying("h", 3), "tpe": Drying("h", 2)})
    assert [(x.resin, x.load_at, x.dry_at) for x in loads] == [
        ("abs", at(12, 5), at(12, 8)),
        ("tpe", at(12, 8), at(12, 10)),
    ]


def test_small_runs_of_a_day_share_a_load():
    """Two colours of one resin on one morning are one filling; the next day is another."""
    draws = [
        DryingDraw("r1", "abs", at(12, 8), at(12, 9), 5),
        DryingDraw("r2", "abs", at(12, 9), at(12, 10), 5),
        DryingDraw("r3", "abs", at(13, 8), at(13, 9), 5),
    ]
    loads = drying_loads(draws, {"abs": Drying("h", 3, holds_kg=15)})
    assert [(x.kg, x.runs) for x in loads] == [(10, ("r1", "r2")), (5, ("r3",))]


def test_drying_hours_are_real_hours_across_a_clock_change():
    """28 March 2027: a 06:00 start less six real hours is 23:00 the evening before."""
    start, end = datetime(2027, 3, 28, 6, tzinfo=LONDON), datetime(2027, 3, 28, 8, tzinfo=LONDON)
    (load,) = drying_loads([DryingDraw("r1", "pa", start, end, 4)], {"pa": Drying("h", 6)})
    assert load.load_at.isoformat() == "2027-03-27T23:00:00+00:00"


@given(
    st.lists(
        st.tuples(st.integers(0, 200), st.integers(1, 12), st.floats(0.1, 90), st.sampled_from(["abs", "pa"])),
        min_size=1,
        max_size=8,
    ),
    st.floats(1, 40),
)
def test_every_kilogram_is_dried_in_time_and_a_dryer_holds_one_load(draws, holds):
    """Loads add up to the draws, none above what the dryer holds, none dry late, none overlapping in the dryer."""
    terms = {"abs": Drying("h", 3, holds_kg=holds), "pa": Drying("h", 5.5, holds_kg=holds)}
    hour = 3600
    zero = at(4, 0).timestamp()
    asked = [
        DryingDraw(
            f"r{n}",
            resin,
            datetime.fromtimestamp(zero + start * hour, LONDON),
            datetime.fromtimestamp(zero + (start + length) * hour, LONDON),
            kg,
        )
        for n, (start, length, kg, resin) in enumerate(draws)
    ]
    loads = drying_loads(asked, terms)
    assert sum(x.kg for x in loads) == pytest.approx(sum(d.kg for d in asked))
    for load in loads:
        assert load.kg <= holds + 1e-6
        assert load.dry_at.timestamp() <= load.used_from.timestamp() + 1e-3
    for before, after in pairwise(loads):
        assert before.dry_at.timestamp() <= after.load_at.timestamp() + 1e-3


def test_a_dryer_is_loaded_while_somebody_is_there():
    """Dry at 06:00 after 3 h would mean loading at 03:00: it is loaded before people leave the evening before."""
    day = (at(11, 6), at(11, 22))
    draw = [DryingDraw("r1", "abs", at(12, 6), at(12, 8), 5)]
    (load,) = drying_loads(draw, {"abs": Drying("h", 3)}, people=[day, (at(12, 6), at(12, 22))])
    assert (load.load_at, load.dry_at) == (at(11, 21, 55), at(12, 0, 55))
    assert "dry it again" in load.caution
    (load,) = drying_loads(draw, {"abs": Drying("h", 3)})
    assert load.load_at == at(12, 3)
