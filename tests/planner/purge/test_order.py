"""The best colour order against every permutation, a second dynamic programme, and the rule of thumb."""

from functools import cache
from itertools import permutations

import numpy as np
import pytest

from planner.purge.barrel import Barrel
from planner.purge.colour import from_hex
from planner.purge.estimate import Melt
from planner.purge.local_search import searched_order
from planner.purge.matrix import purge_figures
from planner.purge.order import EXACT_UP_TO, best_order, light_to_dark, order_against_rule, order_total
from tests.support.sampled import sampled


def palette_costs(n: int, seed: int) -> tuple[np.ndarray, np.ndarray, tuple[int, ...]]:
    """Purge kg of n random colours, from a random colour in the barrel, and light to dark."""
    colours = [from_hex(f"#{v:06x}") for v in np.random.default_rng(seed).integers(0, 1 << 24, n + 1)]
    kg = purge_figures(Barrel("b", 1.0), [Melt("pp", str(k), c) for k, c in enumerate(colours)]).kg
    return kg[1:, 1:], kg[0, 1:], light_to_dark(colours[1:])


def exhaustive(costs: np.ndarray, start: np.ndarray) -> float:
    orders = np.array(list(permutations(range(len(start)))))
    return float((start[orders[:, 0]] + costs[orders[:, :-1], orders[:, 1:]].sum(axis=1)).min())


def held_karp(costs: np.ndarray, start: np.ndarray) -> float:
    """The textbook recursion (Held and Karp 1962), written apart from the planner's."""
    n = len(start)
    cost, first = costs.tolist(), start.tolist()

    @cache
    def rest(last: int, left: int) -> float:
        if not left:
            return 0.0
        return min(cost[last][j] + rest(j, left & ~(1 << j)) for j in range(n) if left >> j & 1)

    everything = (1 << n) - 1
    return min(first[j] + rest(j, everything & ~(1 << j)) for j in range(n))


@pytest.mark.parametrize("n", range(1, 10))
def test_no_permutation_is_better_up_to_nine_colours(n: int) -> None:
    for seed in range(3 if n < 9 else 1):
        costs, start, _ = palette_costs(n, seed)
        order = best_order(costs, start)
        assert order.proven
        assert sorted(order.sequence) == list(range(n))
        assert order.total == pytest.approx(exhaustive(costs, start), abs=1e-9)
        assert order.total == pytest.approx(order_total(costs, order.sequence, start), abs=1e-12)


@pytest.mark.parametrize("n", [10, 11, 12, 13, 14])
def test_the_textbook_recursion_agrees_up_to_fourteen_colours(n: int) -> None:
    costs, start, _ = palette_costs(n, n)
    assert best_order(costs, start).total == pytest.approx(held_karp(costs, start), abs=1e-9)


def test_random_costs_that_break_the_triangle_inequality_agree_too() -> None:
    rng = np.random.default_rng(5)
    costs, start = rng.uniform(0, 1, (8, 8)) ** 4, rng.uniform(0, 1, 8) ** 4
    assert best_order(costs, start).total == pytest.approx(exhaustive(costs, start), abs=1e-12)


def test_the_search_for_many_colours_meets_the_proven_order_of_fourteen() -> None:
    """On 20 palettes of 14 colours: within 2 % each, and on most of them exactly."""
    gaps = []
    for seed in range(20):
        costs, start, rule = palette_costs(EXACT_UP_TO, 100 + seed)
        found = searched_order(costs, start, [rule], 0)
        assert sorted(found) == list(range(EXACT_UP_TO))
        gaps.append(order_total(costs, found, start) / best_order(costs, start).total - 1)
    assert max(gaps) < 0.02
    assert sum(gap < 1e-9 for gap in gaps) >= 15


@pytest.mark.parametrize("n", [15, 25])
def test_many_colours_never_worse_than_light_to_dark_and_repeatable(n: int) -> None:
    costs, start, rule = palette_costs(n, n)
    order = best_order(costs, start, tries=[rule], seed=3)
    assert not order.proven
    assert sorted(order.sequence) == list(range(n))
    assert order.total <= order_total(costs, rule, start)
    assert order == best_order(costs, start, tries=[rule], seed=3)


def test_light_to_dark_is_matched_or_beaten_on_random_palettes() -> None:
    """50 palettes of 3 to 12 colours: the rule of thumb is matched or beaten on each, beaten on most."""
    beaten = 0
    seeds = sampled(range(150), 3)
    for seed in seeds:
        costs, start, rule = palette_costs(3 + seed % 10, 1000 + seed)
        total = order_total(costs, rule, start)
        best = best_order(costs, start).total
        assert best <= total + 1e-9
        beaten += best < total - 1e-9
    assert beaten > len(seeds) // 2


def test_light_to_dark_follows_lightness() -> None:
    colours = [from_hex(h) for h in ("#202020", "#ffffff", "#808080", "#ffffff")]
    assert light_to_dark(colours) == (1, 3, 2, 0)


def test_undescribed_colours_come_last_in_the_rule_of_thumb() -> None:
    assert light_to_dark([None, from_hex("#202020"), from_hex("#ffffff")]) == (2, 1, 0)


def test_the_order_of_some_melts_is_told_in_the_indices_of_the_figures() -> None:
    """From black in the barrel, by hand: all six orders of white, sage and navy."""
    hexes = {"black": "#101010", "white": "#ffffff", "red": "#c01818", "sage": "#9caf88", "navy": "#1f2a56"}
    melts = [Melt("pp", name, from_hex(text)) for name, text in hexes.items()]
    figures = purge_figures(Barrel("b", 1.0), melts)
    told = order_against_rule(figures, [1, 3, 4], holds=0)
    by_hand = {order: figures.kg[[0, *order[:-1]], order].sum() for order in permutations([1, 3, 4])}
    assert told.best.total == pytest.approx(min(by_hand.values()))
    assert by_hand[told.best.sequence] == pytest.approx(told.best.total)
    assert told.rule == (1, 3, 4)
    assert told.rule_kg == pytest.approx(by_hand[told.rule])
    clean = order_against_rule(figures, [1, 3, 4])
    assert clean.best.total < told.best.total


def test_nothing_to_order() -> None:
    assert best_order(np.zeros((0, 0))).sequence == ()
    assert order_total(np.zeros((0, 0)), ()) == 0


def test_costs_that_are_not_numbers_are_refused() -> None:
    with pytest.raises(ValueError, match="finite"):
        best_order(np.array([[0.0, np.inf], [1.0, 0.0]]))
    with pytest.raises(ValueError, match=r"\(n, n\)"):
        best_order(np.zeros((2, 2)), np.zeros(3))
