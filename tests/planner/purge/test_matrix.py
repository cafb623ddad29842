"""Which figure holds for a pair, what it rests on, its range, and the properties every matrix must have."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.campaign.purging import RESIN_CHANGE_HOLDUPS
from planner.purge.barrel import Barrel
from planner.purge.basis import Basis
from planner.purge.colour import Appearance, from_hex, grey
from planner.purge.estimate import (
    UNKNOWN_COLOUR_HOLD_UPS,
    Melt,
    MeltKey,
    ResinChange,
    estimate,
)
from planner.purge.factor import P90
from planner.purge.given import GIVEN_SPREAD, GivenPurge
from planner.purge.log import LogEntry
from planner.purge.matrix import purge_figures
from planner.purge.washout import Washout
from tests.support.sampled import examples

WHITE, BLACK = MeltKey("pp", "white"), MeltKey("pp", "black")
MELTS = [
    Melt("pp", "white", grey(0.9)),
    Melt("pp", "black", grey(0.04)),
    Melt("tpe", "white", grey(0.9)),
    Melt("pp", "sample", None),
]
BARREL = Barrel("p1.1", 0.4, 0.1)

hexes = st.integers(0, 0xFFFFFF).map(lambda v: from_hex(f"#{v:06x}"))
palettes = st.lists(hexes, min_size=2, max_size=5)


def melts_of(palette: list[Appearance]) -> list[Melt]:
    return [Melt("pp", str(k), a) for k, a in enumerate(palette)]


def test_kilograms_are_stirred_volumes_times_barrel_and_hot_runner() -> None:
    """7.59 and 2.25 volumes (computed) of 0.5 kg."""
    figures = purge_figures(BARREL, MELTS)
    assert figures.kg[1, 0] == pytest.approx(7.594 * 0.5, abs=2e-3)
    assert figures.kg[0, 1] == pytest.approx(2.248 * 0.5, abs=2e-3)
    assert Basis(figures.basis[1, 0]).label == "estimated"
    assert "7.6 hold-ups of 0.5 kg" in figures.explain(1, 0)


def test_the_same_melt_costs_nothing() -> None:
    figures = purge_figures(BARREL, MELTS)
    assert (np.diagonal(figures.kg) == 0).all()
    assert (np.diagonal(figures.high) == 0).all()
    assert figures.explain(2, 2) == "same melt, nothing to purge"
    assert Basis(figures.basis[2, 2]) is Basis.NONE


def test_another_resin_in_the_same_colour_costs_the_resin_change() -> None:
    figures = purge_figures(BARREL, MELTS)
    assert figures.kg[0, 2] == pytest.approx(RESIN_CHANGE_HOLDUPS * 0.5)
    assert "change of resin" in figures.explain(0, 2)
    assert "common practice" in figures.explain(0, 2)


def test_a_change_of_both_costs_the_larger_not_the_sum() -> None:
    figures = purge_figures(BARREL, MELTS)
    assert figures.kg[1, 2] == figures.kg[1, 0]
    own = ResinChange(hold_ups=4.0, pairs={("pp", "tpe"): 9.0})
    figures = purge_figures(BARREL, MELTS, estimated=estimate(MELTS, resin_change=own))
    assert figures.kg[1, 2] == pytest.approx(9.0 * 0.5)
    assert figures.kg[2, 0] == pytest.approx(4.0 * 0.5)


def test_an_undescribed_colour_costs_the_fallback_and_says_so() -> None:
    figures = purge_figures(BARREL, MELTS)
    assert figures.kg[0, 3] == figures.kg[3, 0] == pytest.approx(UNKNOWN_COLOUR_HOLD_UPS * 0.5)
    assert "not described (common practice, no source)" in figures.explain(3, 0)


def test_given_before_estimated_and_measured_before_given() -> None:
    given_pairs = [GivenPurge(BLACK, WHITE, 9.0), GivenPurge(WHITE, BLACK, 2.0, 1.5, 4.0)]
    log = [LogEntry("a", "p1.1", BLACK, WHITE, kg=5.0), LogEntry("b", "p1.1", BLACK, WHITE, kg=7.2)]
    figures = purge_figures(BARREL, MELTS, given=given_pairs, log=log)
    assert Basis(figures.basis[1, 0]) is Basis.MEASURED
    assert figures.kg[1, 0] == pytest.approx(6.0)  # the middle of 5 and 7.2 on a ratio scale
    assert figures.low[1, 0] < 5.0 < 7.2 < figures.high[1, 0]
    assert "2 logged purges" in figures.explain(1, 0)
    assert Basis(figures.basis[0, 1]) is Basis.GIVEN
    assert (figures.low[0, 1], figures.kg[0, 1], figures.high[0, 1]) == (1.5, 2.0, 4.0)


def test_a_given_figure_without_a_range_gets_the_usual_one() -> None:
    figures = purge_figures(BARREL, MELTS, given=[GivenPurge(WHITE, BLACK, 2.0)])
    wide = math.exp(P90 * GIVEN_SPREAD)
    assert figures.low[0, 1] == pytest.approx(2.0 / wide, abs=1e-3)
    assert figures.high[0, 1] == pytest.approx(2.0 * wide, abs=1e-3)


def test_one_measurement_is_a_wider_figure_than_four_that_agree() -> None:
    def width(count: int) -> float:
        log = [LogEntry(str(k), "p1.1", BLACK, WHITE, kg=4.0) for k in range(count)]
        figures = purge_figures(BARREL, MELTS, log=log)
        return float(figures.high[1, 0] / figures.low[1, 0])

    # One purge told by one: twice the variance of the repeats (prior spread 0.25).
    assert width(1) == pytest.approx(math.exp(2 * P90 * 0.25 * math.sqrt(2)), rel=1e-3)
    assert width(4) < width(1)


def test_the_log_moves_the_estimates_of_other_pairs_and_narrows_them() -> None:
    before = purge_figures(BARREL, MELTS)
    log = [LogEntry(str(k), "p1.1", BLACK, WHITE, kg=2 * 3.797) for k in range(8)]
    after = purge_figures(BARREL, MELTS, log=log)
    ratio = after.kg[0, 1] / before.kg[0, 1]
    assert 1.8 < ratio <= 2.0
    assert after.high[0, 1] / after.low[0, 1] < before.high[0, 1] / before.low[0, 1]
    assert "from 8 logged purges" in after.explain(0, 1)


def test_another_barrels_log_counts_for_nothing() -> None:
    log = [LogEntry("a", "p2.1", BLACK, WHITE, kg=9.0)]
    figures = purge_figures(BARREL, MELTS, log=log)
    assert (figures.kg == purge_figures(BARREL, MELTS).kg).all()
    assert figures.log.set_aside == ()


def test_one_estimate_serves_many_barrels() -> None:
    shared = estimate(MELTS)
    again = purge_figures(BARREL, MELTS, estimated=shared)
    assert (again.kg == purge_figures(BARREL, MELTS).kg).all()


def test_plug_flow_asks_for_less_than_stirred() -> None:
    stirred = purge_figures(BARREL, MELTS).kg
    plug = purge_figures(BARREL, MELTS, estimated=estimate(MELTS, flow=Washout(plug_share=0.5))).kg
    assert plug[1, 0] == pytest.approx((0.5 + 0.5 * 7.594) * 0.5, abs=2e-3)
    assert plug[1, 0] < stirred[1, 0]


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: purge_figures(BARREL, [MELTS[0], MELTS[0]]), "pp in white is listed twice"),
        (lambda: GivenPurge(BLACK, WHITE, -1.0), "must be 0 or more"),
        (lambda: GivenPurge(BLACK, WHITE, 2.0, low_kg=3.0), "lie in its range"),
        (
            lambda: purge_figures(BARREL, MELTS, given=[GivenPurge(BLACK, WHITE, k) for k in (1.0, 2.0)]),
            "given twice",
        ),
        (lambda: purge_figures(BARREL, MELTS, given=[GivenPurge(BLACK, BLACK, 1.0)]), "to itself"),
        (lambda: purge_figures(BARREL, MELTS, estimated=estimate(MELTS[::-1])), "other melts"),
        (lambda: Barrel("p1", 0.0), "barrel p1: hold-up"),
        (lambda: Barrel("p1", 1.0, -0.1), "hot runner"),
        (lambda: ResinChange(hold_ups=-1), "0 or more"),
    ],
)
def test_contradictions_are_refused_with_words(call: object, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        call()  # type: ignore[operator]


def test_no_melts_give_an_empty_matrix() -> None:
    assert purge_figures(BARREL, []).kg.shape == (0, 0)


@given(palettes, st.floats(0.3, 5), st.floats(0.3, 5))
@settings(max_examples=examples(40), deadline=None)
def test_more_tolerance_never_needs_more_purge(palette: list[Appearance], one: float, other: float) -> None:
    tight, wide = sorted((one, other))
    melts = melts_of(palette)
    assert (purge_figures(BARREL, melts, tolerance=wide).kg <= purge_figures(BARREL, melts, tolerance=tight).kg).all()


@given(palettes, st.floats(0.01, 5), st.floats(0.01, 5), st.floats(0, 1))
@settings(max_examples=examples(40), deadline=None)
def test_more_hold_up_never_needs_less_purge(
    palette: list[Appearance], one: float, other: float, hot_runner: float
) -> None:
    small, large = sorted((one, other))
    melts = melts_of(palette)
    shared = estimate(melts)
    lower = purge_figures(Barrel("b", small, hot_runner), melts, estimated=shared)
    upper = purge_figures(Barrel("b", large, hot_runner), melts, estimated=shared)
    assert (lower.kg <= upper.kg).all()
    assert (lower.high <= upper.high).all()


@given(palettes)
@settings(max_examples=examples(40), deadline=None)
def test_the_range_holds_the_figure(palette: list[Appearance]) -> None:
    figures = purge_figures(BARREL, melts_of(palette))
    assert (figures.low <= figures.kg).all()
    assert (figures.kg <= figures.high).all()
    assert (figures.kg >= 0).all()


@given(st.floats(0.02, 0.95), st.floats(0.02, 0.95))
@settings(max_examples=examples(60), deadline=None)
def test_darker_to_lighter_never_less_than_the_reverse_for_greys(one: float, other: float) -> None:
    """To the gram, in every order of two greys of the same strength."""
    dark, light = sorted((one, other))
    figures = purge_figures(BARREL, melts_of([grey(dark), grey(light)]))
    assert figures.kg[0, 1] >= figures.kg[1, 0]
