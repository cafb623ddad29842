"""Purges told in print against the model's range; which of them lie outside, and why.

Print gives parts, shots or kilograms but never the hold-up. Where a check can do without it, it does; where shots are
to be compared, two to six shots of melt in barrel and hot runner are assumed (common practice, no source).
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from planner.campaign.purging import Compound
from planner.purge.barrel import Barrel
from planner.purge.colour import from_hex
from planner.purge.compound import Place, compound_figures
from planner.purge.estimate import Melt
from planner.purge.figures import with_hot_runner
from planner.purge.log import LogEntry
from planner.purge.matrix import PurgeFigures, purge_figures
from planner.purge.washout import STIRRED, Washout

with (Path(__file__).parent / "data" / "purge_published_numbers.csv").open() as file:
    CASES = {row["case"]: row for row in csv.DictReader(file)}

FEW_SHOTS, MANY_SHOTS = 2.0, 6.0

COLOURS = {
    "black": "#141414",
    "light": "#f2f0ea",
    "light grey": "#d3d3d3",
    "blue": "#1f4fa3",
    "neon pink": "#ff3fa4",
}
NAMES = list(COLOURS)
MELTS = [Melt("pp", name, from_hex(text)) for name, text in COLOURS.items()]


def per_hold_up() -> PurgeFigures:
    """Figures with a hold-up of 1 kg, so that kilograms read as hold-ups."""
    return purge_figures(Barrel("any", 1.0), MELTS)


def shots(old: str, new: str) -> tuple[float, float]:
    """P10 with the smallest hold-up and P90 with the largest, in shots."""
    figures, pair = per_hold_up(), (NAMES.index(old), NAMES.index(new))
    return float(figures.low[pair]) * FEW_SHOTS, float(figures.high[pair]) * MANY_SHOTS


def laminar_shots(old: str, new: str) -> float:
    """P90 with the largest hold-up when all of it washes out like a laminar pipe, 1/(4 theta^2)."""
    figures, pair = per_hold_up(), (NAMES.index(old), NAMES.index(new))
    hold_ups = 0.5 / np.sqrt(figures.estimate.clean_fraction[pair])
    wide = figures.high[pair] / figures.kg[pair]
    return float(hold_ups * wide * MANY_SHOTS)


def case(start: str) -> dict[str, str]:
    (found,) = [row for name, row in CASES.items() if name.startswith(start)]
    return found


SHOT_OF_HOLD_UP = (0.1, 0.55)
"""A shot as a share of what the barrel holds: a barrel holds 1.5 to 2 of its largest shots, of which a good shot takes
20 to 80 % (common practice, no source)."""


def shot_of_seven_parts(compound: Compound) -> float:
    """The shot, as a share of the hold-up, that makes light grey after black in seven parts, one a shot."""
    pair = NAMES.index("black"), NAMES.index("light grey")
    return float(compound_figures(compound, MELTS, 1.0, Place(None, 0)).total_kg[pair]) / 7


def test_seven_parts_with_compound_ask_for_a_shot_that_a_barrel_can_make() -> None:
    """Canadian Plastics, Feb 2020. Print does not say the hold-up; our figures imply the shot, and it must be one.

    Half as much compound and rinse would still be possible; half as much again would not, nor would a quarter.
    """
    assert case("black PP->light grey")["number"] == "7 parts"
    low, high = SHOT_OF_HOLD_UP
    usual = Compound(price_per_kg=6)
    assert low <= shot_of_seven_parts(usual) <= high
    for times in (0.19, 1.5):
        other = Compound(price_per_kg=6, holdups=usual.holdups * times, rinse_holdups=usual.rinse_holdups * times)
        assert not low <= shot_of_seven_parts(other) <= high


def test_hardest_over_easiest_change_is_as_in_print() -> None:
    """Plastics Technology, Denzel: 40 to 200 lb a changeover, five to one. No hold-up is assumed: it drops out.

    From the easiest to the hardest change between our five colours, within a fifth. Where all changes took alike, or
    colours that are told apart less easily were not forgiven, it would fail.
    """
    assert "40-200 lb (18-91 kg)" in case("resin purging")["number"]
    kg = per_hold_up().kg[~np.eye(len(MELTS), dtype=bool)]
    assert kg.max() / kg.min() == pytest.approx(200 / 40, rel=0.2)
    strict = purge_figures(Barrel("any", 1.0), MELTS, tolerance=0.2).kg[~np.eye(len(MELTS), dtype=bool)]
    assert strict.max() / strict.min() != pytest.approx(200 / 40, rel=0.2)


HOT_RUNNERS = [
    # 400-500 parts of two cavities: PlasticsToday, 27 May 2002.
    ("blue->neon pink", "400-500 scrap parts", "blue", "neon pink", 200),
    # Not clean after 150 shots of liquid purge: a purge-compound maker's customer case.
    ("black->light PP", "not clean after 150 shots", "black", "light", 150),
]


@pytest.mark.parametrize(("start", "words", "old", "new", "least_shots"), HOT_RUNNERS)
def test_two_hot_runners_lie_beyond_a_barrels_range(
    start: str, words: str, old: str, new: str, least_shots: int
) -> None:
    """Channels wash out slower than a stirred tank and hide melt in corners; the slow limit, a laminar pipe, covers
    them: of six shots of melt some two thirds would have to lie in such channels. No plug share explains them, since
    it only shortens a purge.
    """
    assert words in case(start)["number"]
    assert shots(old, new)[1] < least_shots < laminar_shots(old, new)
    assert 0.6 < least_shots / laminar_shots(old, new) < 0.8
    figures, pair = per_hold_up(), (NAMES.index(old), NAMES.index(new))
    fraction = figures.estimate.clean_fraction[pair]
    assert float(Washout(plug_share=0.65).hold_ups(fraction)) < float(STIRRED.hold_ups(fraction))


@pytest.mark.parametrize(("start", "words", "old", "new", "least_shots"), HOT_RUNNERS)
def test_a_hot_runner_nobody_logged_covers_both(start: str, words: str, old: str, new: str, least_shots: int) -> None:
    """Four shots of melt, half in the barrel and half in the hot runner: with melt, and the second with compound."""
    kg, half = 0.1, 0.2  # a shot of 100 g; two of them in each
    bare = purge_figures(Barrel("any", half), MELTS)
    both, pair = with_hot_runner(bare, half), (NAMES.index(old), NAMES.index(new))
    hot_only = float(both.high[pair] - bare.high[pair])
    assert hot_only / kg >= least_shots / 2  # its share of the melt, hence of the shots
    assert float(both.low[pair]) < float(both.kg[pair]) < float(both.high[pair])


def test_a_barrels_log_does_not_narrow_a_hot_runner() -> None:
    """Eight barrel purges just as estimated narrow the barrel; the hot runner behind it stays as wide as before."""
    plain = purge_figures(Barrel("any", 0.2), MELTS)
    changes = [(a, b) for a in range(3) for b in range(5) if a != b][:8]
    log = [
        LogEntry(str(n), "any", MELTS[a].key, MELTS[b].key, kg=float(plain.kg[a, b]))
        for n, (a, b) in enumerate(changes)
    ]
    logged, pair = purge_figures(Barrel("any", 0.2), MELTS, log=log), (4, 3)
    assert logged.fit.entries >= 5
    assert logged.high[pair] < plain.high[pair]
    for figures in (plain, logged):
        hot = with_hot_runner(figures, 0.1)
        kg = 0.1 * float(figures.estimate.hold_ups[pair])
        assert hot.high[pair] - figures.high[pair] == pytest.approx(7 * kg, abs=4e-3)
        assert hot.low[pair] - figures.low[pair] == pytest.approx(kg / 2.4667, abs=2e-3)


def test_light_to_dark_where_possible() -> None:
    """The moulder's rule (Covestro MS005757, section 2.2) comes out of the sum."""
    assert "light->dark" in case("rule")["number"]
    kg = per_hold_up().kg
    black, light = NAMES.index("black"), NAMES.index("light")
    assert kg[light, black] < kg[black, light] / 2


def test_the_plug_share_of_a_single_screw_stays_inside_the_range() -> None:
    """Yeh & Jaw 1998: plug share 0.38 to 0.65 needs less than stirred, and no less than the P10."""
    assert "0.38-0.65" in case("single-screw")["number"]
    figures = per_hold_up()
    apart = ~np.eye(len(MELTS), dtype=bool)
    stirred = STIRRED.hold_ups(figures.estimate.clean_fraction[apart])
    for share in (0.38, 0.65):
        needed = Washout(plug_share=share).hold_ups(figures.estimate.clean_fraction[apart])
        hard = stirred > 1
        assert (needed[hard] < stirred[hard]).all()
        assert (needed >= figures.low[apart] - 1e-3).all()
