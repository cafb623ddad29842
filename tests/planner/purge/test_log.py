"""The purge log: what counts, what is set aside and why, and the factor fitted to it."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.purge.barrel import Barrel
from planner.purge.colour import grey
from planner.purge.estimate import Melt, MeltKey
from planner.purge.factor import fit_factor
from planner.purge.log import LogEntry, LogReading
from planner.purge.matrix import purge_figures

WHITE, BLACK, MID = (MeltKey("pp", name) for name in ("white", "black", "mid"))
TPE = MeltKey("tpe", "white")
MELTS = [
    Melt("pp", "white", grey(0.9)),
    Melt("pp", "black", grey(0.04)),
    Melt("pp", "mid", grey(0.3)),
    Melt("tpe", "white", grey(0.9)),
]
BARREL = Barrel("b", 0.5)
ESTIMATE = purge_figures(BARREL, MELTS).kg


def read(*entries: LogEntry) -> LogReading:
    return purge_figures(BARREL, MELTS, log=entries).log


def entry(name: str, kg: float | None = 4.0, old: MeltKey = BLACK, new: MeltKey = WHITE, **more: Any) -> LogEntry:
    return LogEntry(name, "b", old, new, kg, **more)


BAD = [
    (entry("same", old=WHITE), "same"),
    (entry("nothing", kg=None), "neither kilograms nor shots"),
    (entry("shots only", kg=None, shots=30), "neither kilograms nor shots"),
    (entry("zero", kg=0.0), "no purge"),
    (entry("nan", kg=math.nan), "no purge"),
    (entry("minus", kg=-2.0), "no purge"),
    (entry("two ways", kg=4.0, shots=10, shot_mass_g=40.0), "contradict"),
    (entry("compound", compound=True), "none is named"),
    (entry("not clean", clean=False), "not clean"),
    (entry("stranger", old=MeltKey("pp", "teal")), "pp in teal is not among"),
    (entry("grams", kg=3800.0), "check the unit"),
]


@pytest.mark.parametrize(("bad", "words"), BAD, ids=[bad.id for bad, _ in BAD])
def test_a_bad_entry_is_kept_left_out_and_told_why(bad: LogEntry, words: str) -> None:
    good = [entry(str(k)) for k in range(3)]
    reading = read(*good, bad)
    assert [aside.entry for aside in reading.set_aside] == [bad]
    assert words in reading.set_aside[0].reason
    assert reading.fit == read(*good).fit


def test_no_entry_of_the_barrel_is_lost() -> None:
    entries = [bad for bad, _ in BAD] + [entry(str(k)) for k in range(4)]
    reading = read(*entries)
    assert sorted(e.id for e in entries) == sorted(
        [u.entry.id for u in reading.used] + [a.entry.id for a in reading.set_aside]
    )


def test_the_second_of_two_entries_with_one_id_is_set_aside() -> None:
    reading = read(entry("a"), entry("a"))
    assert len(reading.used) == 1
    assert "twice" in reading.set_aside[0].reason


def test_shots_times_their_mass_are_kilograms() -> None:
    assert entry("a", kg=None, shots=90, shot_mass_g=42.0).purged_kg == pytest.approx(3.78)
    assert read(entry("a", kg=None, shots=90, shot_mass_g=42.0)).used[0].kg == pytest.approx(3.78)


def test_an_entry_far_from_the_others_waits_for_the_makers_word() -> None:
    steady = [entry(str(k), kg=3.8 * (1 + 0.03 * k)) for k in range(8)]
    odd = entry("odd", kg=3.8 * 12)
    reading = read(*steady, odd)
    assert [a.entry.id for a in reading.set_aside] == ["odd"]
    assert "confirm it" in reading.set_aside[0].reason
    assert reading.fit == read(*steady).fit
    confirmed = read(*steady, entry("odd", kg=3.8 * 12, confirmed=True))
    assert confirmed.set_aside == ()
    assert confirmed.fit.factor < 1.4


def test_a_decimal_slip_in_a_short_log_is_set_aside() -> None:
    """One of five entries ten times too large: judged by the other four, not by the spread it makes itself."""
    steady = [entry(str(k), kg=3.8 * (0.9 + 0.05 * k)) for k in range(4)]
    reading = read(entry("slip", kg=38.0), *steady)
    assert [a.entry.id for a in reading.set_aside] == ["slip"]


def test_a_resin_change_counts_for_its_own_pair_but_not_for_the_factor() -> None:
    figures = purge_figures(BARREL, MELTS, log=[entry("a", kg=7.0, old=WHITE, new=TPE)])
    assert figures.kg[0, 3] == pytest.approx(7.0)
    assert figures.fit.entries == 0
    assert figures.fit.factor == 1


def test_without_entries_the_factor_is_one_and_not_trusted() -> None:
    fit = fit_factor([], 0.3)
    assert (fit.factor, fit.trust, fit.entries) == (1, 0, 0)
    assert fit.low < 1 < fit.high


@pytest.mark.parametrize(("entries", "least", "most"), [(1, 0.2, 0.5), (2, 0.4, 0.7), (8, 0.9, 1.0)])
def test_two_entries_do_not_swing_it_and_eight_nearly_carry_it(entries: int, least: float, most: float) -> None:
    """Share of the way (on a ratio scale) to what agreeing entries of twice the estimate say."""
    moved = math.log(fit_factor([math.log(2)] * entries, 0.3).factor) / math.log(2)
    assert least < moved < most


def test_two_wild_entries_move_it_less_than_half_way() -> None:
    assert math.log(fit_factor([math.log(10)] * 2, 0.3).factor) < 0.5 * math.log(10)


def test_one_wild_entry_among_nine_moves_the_factor_by_less_than_a_tenth() -> None:
    """A plain mean with the same prior would move it by more than a fifth."""
    assert fit_factor([0.0] * 8 + [2.0], 0.3).factor < 1.1


@given(st.lists(st.floats(-1.5, 1.5), max_size=12))
def test_trust_and_range_are_sound(logs: list[float]) -> None:
    fit = fit_factor(logs, 0.3)
    assert 0 <= fit.trust < 1
    assert fit.low < fit.factor < fit.high
    extremes = [0.0, *logs]
    assert min(extremes) - 1e-9 <= math.log(fit.factor) <= max(extremes) + 1e-9


@given(st.lists(st.floats(-1, 1), min_size=1, max_size=8), st.randoms(use_true_random=False))
def test_the_order_of_entries_does_not_matter(logs: list[float], random: object) -> None:
    shuffled = list(logs)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    assert fit_factor(logs, 0.3).factor == pytest.approx(fit_factor(shuffled, 0.3).factor, rel=1e-9)


def test_a_log_of_eight_with_a_fifth_of_noise_finds_the_factor() -> None:
    """40 seeds, true factor 0.5 to 2: median error under a tenth."""
    errors = []
    for seed in range(40):
        rng = np.random.default_rng(seed)
        truth = math.exp(rng.uniform(-math.log(2), math.log(2)))
        fit = fit_factor(np.log(truth) + rng.normal(0, 0.2, 8), 0.3)
        errors.append(abs(fit.factor / truth - 1))
    assert np.median(errors) < 0.1


def test_a_crowd_of_entries_still_leaves_out_the_one_that_is_far_off() -> None:
    """Three hundred that agree and one twenty times off: judged by all of them, in one pass."""
    reading = read(*(entry(str(k), kg=3.8) for k in range(300)), entry("odd", kg=76.0))
    assert [one.entry.id for one in reading.set_aside] == ["odd"]
    assert len(reading.used) == 300
