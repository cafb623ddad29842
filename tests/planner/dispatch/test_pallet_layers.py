"""Equal cartons on a pallet: published counts, bounds and the last pallet."""

from math import ceil

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.dispatch.pallets import EUR, layer, load
from tests.support.sampled import examples


@pytest.mark.parametrize(
    ("deck", "carton", "count"),
    [
        ((1200, 800), (600, 400), 4),
        ((1200, 800), (400, 300), 8),
        ((1200, 800), (300, 200), 16),
        ((22, 16), (5, 3), 23),
        ((30, 22), (7, 4), 23),
        ((57, 44), (12, 5), 41),
        ((86, 82), (15, 11), 42),
    ],
)
def test_known_layers(deck: tuple[int, int], carton: tuple[int, int], count: int) -> None:
    """Modular cartons on 1200 x 800 (ISO 3394), and instances of the pallet loading literature.

    (22,16,5,3), (30,22,7,4), (57,44,12,5) and (86,82,15,11) with their optima are recalled from memory from
    papers on the block heuristics; none can be beaten by more than the area bound says.
    """
    found, at_most = layer(*deck, carton)
    assert found == count
    assert layer(deck[1], deck[0], carton) == (count, at_most)
    assert count <= at_most


@settings(max_examples=examples(60), deadline=None)
@given(st.integers(100, 700), st.integers(100, 500))
def test_layer_is_between_plain_rows_and_the_area(length: int, width: int) -> None:
    """Never fewer than rows all one way, never more than the area allows."""
    found, at_most = layer(1200, 800, (length, width))
    rows = max((1200 // length) * (800 // width), (1200 // width) * (800 // length))
    assert rows <= found <= at_most <= 1200 * 800 // (length * width)


def test_eur_pallet_by_height_and_by_weight() -> None:
    """400 x 300 x 250 mm: 8 a layer, 6 layers under 1800 mm; at 40 kg the 1500 kg deck holds 37.

    EUR pallet 1200 x 800 x 144 mm, about 25 kg, 1500 kg safe working load: European Pallet Association.
    """
    light = load(100, (400, 300, 250), 5.0)
    assert light is not None
    assert (light.per_pallet, light.pallets, light.last) == (48, 3, 4)
    assert (light.height_mm, light.gross_kg, light.limited_by) == (144 + 6 * 250, 25 + 48 * 5, "height")
    heavy = load(37, (400, 300, 250), 40.0)
    assert heavy is not None
    assert (heavy.per_pallet, heavy.pallets, heavy.last, heavy.limited_by) == (37, 1, 37, "weight")
    assert heavy.gross_kg - EUR.kg <= EUR.largest_load_kg


@given(st.integers(1, 5000), st.floats(0.5, 60))
def test_no_carton_is_lost(cartons: int, kg: float) -> None:
    """All pallets but the last are full, and together they carry every carton once."""
    plan = load(cartons, (390, 260, 210), kg)
    assert plan is not None
    assert (plan.pallets - 1) * plan.per_pallet + plan.last == cartons
    assert 1 <= plan.last <= plan.per_pallet
    assert plan.pallets == ceil(cartons / plan.per_pallet)


def test_what_does_not_go_on_a_pallet() -> None:
    """Too long, too tall, too heavy, or nothing to load: no pallet."""
    assert load(5, (1300, 300, 200), 5) is None
    assert load(5, (400, 300, 1700), 5) is None
    assert load(5, (400, 300, 200), 1501) is None
    assert load(0, (400, 300, 200), 5) is None
    with pytest.raises(ValueError, match="above 0"):
        layer(1200, 800, (0, 300))
