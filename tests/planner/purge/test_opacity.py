"""What finishes ask for whatever the colour difference says: nothing between two melts is free."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.purge.barrel import Barrel
from planner.purge.colour import Appearance, from_hex, grey
from planner.purge.estimate import Melt
from planner.purge.finish import FINISHES
from planner.purge.matrix import purge_figures
from planner.purge.opacity import Limit, most_left
from planner.purge.tolerance import clean_fractions
from tests.support.sampled import examples

WHITE = from_hex("#ffffff")
looks = st.builds(
    lambda value, finish: from_hex(f"#{value:06x}", finish), st.integers(0, 0xFFFFFF), st.sampled_from(FINISHES)
)


@pytest.mark.parametrize(
    ("old", "new", "most", "limit"),
    [
        (from_hex("#a8a9ad", "metallic"), from_hex("#a8a9ad"), 0.02, Limit.FLAKES),
        (from_hex("#e8e4da"), from_hex("#e8e4da", "translucent"), 0.001, Limit.IN_CLEAR),
        (from_hex("#ffffff", "natural"), WHITE, 0.03, Limit.CLEAR),
        (from_hex("#8fae8b"), from_hex("#8fae8b"), 0.3, Limit.ALIKE),
    ],
)
def test_melts_that_look_alike_still_take_a_purge(old: Appearance, new: Appearance, most: float, limit: Limit) -> None:
    """By colour alone each of these would take nothing; the limits are common practice without a source."""
    assert float(clean_fractions([old, new])[0, 1]) == 1 if old.finish != "metallic" else True
    left, code = most_left([old, new])
    assert (float(left[0, 1]), Limit(int(code[0, 1]))) == (most, limit)
    figures = purge_figures(Barrel("b", 0.5), [Melt("pp", "old", old), Melt("pp", "new", new)])
    assert figures.kg[0, 1] == pytest.approx(0.5 * -np.log(most), abs=6e-4)
    assert limit.words in figures.explain(0, 1)
    assert "common practice" in figures.explain(0, 1)


@given(st.lists(looks, min_size=2, max_size=4), st.floats(0.3, 4))
@settings(max_examples=examples(40), deadline=None)
def test_the_limits_hold_for_every_pair(palette: list[Appearance], tolerance: float) -> None:
    """Whatever the colours: never free, never more than the finish allows, never more in clear than in white."""
    left, _ = most_left(palette, tolerance)
    by_colour = clean_fractions(palette, tolerance)
    apart = ~np.eye(len(palette), dtype=bool)
    assert (left[apart] <= 0.3).all()
    assert (left <= by_colour).all()
    for i, old in enumerate(palette):
        for j, new in enumerate(palette):
            if i == j:
                continue
            clear = {"translucent", "natural"}
            if clear & {old.finish, new.finish}:
                assert left[i, j] <= 0.03
            if old.finish in ("metallic", "pearlescent"):
                assert left[i, j] <= 0.02
            if new.finish in clear and old.finish not in clear:
                assert left[i, j] <= min(0.001, clean_fractions([old, grey(0.9)], tolerance)[0, 1])


@given(st.lists(looks, min_size=2, max_size=4), st.floats(0.3, 4), st.floats(1, 3))
@settings(max_examples=25, deadline=None)
def test_more_tolerance_never_asks_for_more(palette: list[Appearance], tolerance: float, times: float) -> None:
    assert (most_left(palette, tolerance * times)[0] >= most_left(palette, tolerance)[0]).all()
