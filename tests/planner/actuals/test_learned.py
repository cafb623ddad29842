"""What the floor teaches: figures with their evidence, offered as patches."""

import numpy as np
import pytest
from scipy import stats

from planner.actuals.entries import Actuals
from planner.actuals.learned import learn, wilson
from planner.slips.patches import changed
from tests.planner.promise.chains import chain


def entries(*made):
    return Actuals.model_validate({"as_of": "2027-01-30T00:00", "entries": list(made)})


def shots(day, number, good, hours):
    return {
        "what": "shots", "at": f"2027-01-{day:02d}T12:00", "press": "one", "tool": "a", "colours": ["grey"],
        "shots": number, "good": {"a": good}, "hours": hours,
    }  # fmt: skip


def test_wilson_is_scipys():
    """Against scipy's proportion interval, an independent implementation."""
    for hits, of in ((0, 50), (3, 200), (40, 90)):
        exact = stats.binomtest(hits, of).proportion_ci(0.9, method="wilson")
        assert wilson(hits, of) == pytest.approx((exact.low, exact.high), abs=1e-4)


def test_cycle_and_scrap_are_measured():
    """By hand: 600 shots in 48 h are 288 s a shot against 259.2 planned; 570 good of 600 are 5 % scrap."""
    campaign = chain({"a": (3, 3, 3)})
    learned = {
        x.what: x
        for x in learn(campaign, entries(shots(5, 200, 190, 16), shots(6, 200, 190, 15.5), shots(7, 200, 190, 16.5)))
    }
    cycle = learned["cycle of tool a"]
    assert cycle.learned == pytest.approx(288)
    assert cycle.low < 288 < cycle.high
    assert cycle.differs
    scrap = learned["scrap of tool a"]
    assert scrap.learned == pytest.approx(0.05)
    assert scrap.observations == 600
    assert scrap.differs
    better = changed(campaign, cycle.patch + scrap.patch)
    assert better.tools["a"].cycle_s == pytest.approx(288)
    assert better.tools["a"].scrap_share == pytest.approx(0.05)


def test_little_evidence_is_said_to_be_little():
    learned = learn(chain({"a": (3, 3, 3)}), entries(shots(5, 20, 19, 1.6)))
    assert [x.what for x in learned] == ["cycle of tool a"]  # 20 parts are too few to speak of scrap
    assert learned[0].low is None
    assert not learned[0].differs


def test_intervals_hold_as_often_as_they_say():
    """300 simulated courses of ten entries each: the 90 % interval of the cycle holds its true value 80 to 95 % of the
    time (ten entries: a normal interval is a little narrow)."""
    campaign = chain({"a": (3, 3, 3)})
    chance = np.random.default_rng(8)
    held = 0
    for _ in range(300):
        hours = 100 * 300 / 3600 * np.exp(chance.normal(0, 0.05, 10))
        line = learn(campaign, entries(*(shots(5 + n, 100, 98, float(h)) for n, h in enumerate(hours))))[0]
        held += line.low <= 300 * np.exp(0.05**2 / 2) <= line.high
    assert 0.8 <= held / 300 <= 0.95


def test_purges_go_to_the_log_if_the_maker_wants_them_there():
    purge = {"what": "purge", "at": "2027-01-05T12:00", "press": "one", "from": "pp/grey", "to": "pp/black", "kg": 0.9}
    data = chain({"a": (3, 3, 3)}).model_dump(mode="json")
    data["colours"]["black"] = {"hex": "#101010", "stock_kg": 10}
    campaign = type(chain({"a": (3, 3, 3)})).model_validate(data)
    found = learn(campaign, entries(purge))
    assert found[0].what == "purge in barrel 1 of press one"
    assert len(changed(campaign, found[0].patch).purging.log) == 1


def test_bench_minutes():
    made = [
        {"what": "assembled", "at": "2027-01-05T12:00", "product": "thing", "units": 50, "person_minutes": m}
        for m in (100, 110, 90)
    ]
    learned = learn(chain({"a": (3, 3, 3)}), entries(*made))
    assert learned[0].learned == pytest.approx(2.0)
    assert learned[0].pointer == "/products/thing/assembly_minutes"


def test_the_range_of_a_benchs_minutes_is_that_of_the_weighted_mean():
    """By hand: 100 at 2, 200 at 3, 300 at 4 minutes are 3 1/3; the squares off that, weighed by units, times 3 / 2 for
    three entries; the mean's error is the root of a third of that, times 1.645 for nine in ten."""
    campaign = chain({"a": (3, 3, 3)})
    product = next(iter(campaign.products))
    made = [
        {
            "what": "assembled",
            "at": f"2027-01-{day:02d}T12:00",
            "product": product,
            "units": units,
            "person_minutes": spent,
        }
        for day, units, spent in ((5, 100, 200), (6, 200, 600), (7, 300, 1200))
    ]
    (found,) = [x for x in learn(campaign, entries(*made)) if x.what.startswith("assembly of")]
    assert found.learned == pytest.approx(10 / 3)
    squares = 100 * (2 - 10 / 3) ** 2 + 200 * (3 - 10 / 3) ** 2 + 300 * (4 - 10 / 3) ** 2
    error = 1.645 * (squares / 600 * 3 / 2 / 3) ** 0.5
    assert (found.low, found.high) == pytest.approx((10 / 3 - error, 10 / 3 + error), abs=1e-3)
