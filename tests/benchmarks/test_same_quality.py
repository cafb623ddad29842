"""What same_quality reads off: processor time for one quality, from curves whose answer is known by hand."""

from math import isclose

from benchmarks.same_quality import Curve, Reached, qualities, ratio, spread

BUDGETS = [2.0, 4.0, 8.0]


def curve(seconds: float = 1.0, beyond: float = 0.0) -> Curve:
    """Half as far from the best with each doubling, from 0.4 % on, and so much further throughout."""
    return [(seconds * budget, 0.008 / budget + beyond) for budget in BUDGETS]


def test_the_same_plans_in_so_many_times_the_seconds_are_that_many_times_dearer() -> None:
    for times in (0.5, 1.0, 1.1, 3.0):
        assert isclose(ratio([curve(times)] * 3, [curve()] * 3), times)


def test_worse_plans_are_dearer_and_better_ones_cheaper() -> None:
    """A tenth of a per cent worse throughout: 8 s give what 4 s gave."""
    assert isclose(ratio([curve(beyond=0.001)], [curve()]), 2.0)
    assert isclose(ratio([curve()], [curve(beyond=0.001)]), 2**-0.5)


def test_the_range_is_as_wide_as_pairs_disagree() -> None:
    """Where all pairs say the same the range is that; where they do not, it holds what all of them together say."""
    low, high = spread([curve(1.1)] * 6, [curve()] * 6, 200)
    assert isclose(low, 1.1)
    assert isclose(high, 1.1)
    mixed = [curve(beyond=0.001 * (n % 2)) for n in range(6)]
    low, high = spread(mixed, [curve()] * 6, 200)
    assert 1.0 <= low < ratio(mixed, [curve()] * 6) < high <= 2.0


def test_quality_counts_from_the_best_that_the_side_found_with_more_time_too() -> None:
    first = [Reached(2.0, 2.1, 110.0), Reached(4.0, 4.1, 105.0), Reached(16.0, 16.1, 100.0)]
    second = [Reached(2.0, 2.2, 120.0), Reached(4.0, 4.2, 102.0)]
    found = qualities([first, second], [2.0, 4.0])
    assert [[took for took, _ in of_seed] for of_seed in found] == [[2.1, 4.1], [2.2, 4.2]]
    assert all(
        isclose(beyond, share)
        for of_seed, shares in zip(found, ((0.1, 0.05), (0.2, 0.02)), strict=True)
        for (_, beyond), share in zip(of_seed, shares, strict=True)
    )
