"""Three-dimensional fit: puzzles with known answers, layouts checked piece by piece, carton choice."""

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.dispatch.cartons import Carton, Content, choose_carton
from planner.dispatch.fitting import Fit, Piece, fit
from tests.support.sampled import examples


def assert_layout_holds(answer: Fit, pieces: list[Piece], inside: tuple[int, int, int]) -> None:
    """Every piece once, turned as allowed, inside, none through another."""
    assert answer.verdict == "fits", answer.why
    assert [p.piece for p in answer.placements] == list(range(len(pieces)))
    for lying in answer.placements:
        assert lying.sides in pieces[lying.piece].turns()
        assert all(0 <= lying.at[k] <= inside[k] - lying.sides[k] for k in range(3))
    for one, other in combinations(answer.placements, 2):
        assert any(
            one.at[k] + one.sides[k] <= other.at[k] or other.at[k] + other.sides[k] <= one.at[k] for k in range(3)
        )


def test_slothouber_graatsma_puzzle() -> None:
    """Six 1x2x2 and three 1x1x1 fill a 3x3x3 cube, in one way only (Slothouber & Graatsma)."""
    pieces = [Piece((1, 2, 2))] * 6 + [Piece((1, 1, 1))] * 3
    assert_layout_holds(fit(pieces, (3, 3, 3)), pieces, (3, 3, 3))


def test_seven_slabs_do_not_go_in_that_cube() -> None:
    """A 3x3x3 cube holds six 1x2x2 blocks (three cells stay empty), never seven (28 cells)."""
    assert fit([Piece((1, 2, 2))] * 6, (3, 3, 3)).verdict == "fits"
    assert fit([Piece((1, 2, 2))] * 7, (3, 3, 3)).verdict == "cannot"


def test_harmonic_bricks_need_a_proof_not_a_volume() -> None:
    """Nine 1x4 bars have the area of a 6x6 square and cannot fill it (de Bruijn, Filling boxes with bricks,
    American Mathematical Monthly 76, 1969); eight go in.
    """
    bar = Piece((1, 4, 1))
    assert_layout_holds(fit([bar] * 8, (6, 6, 1)), [bar] * 8, (6, 6, 1))
    answer = fit([bar] * 9, (6, 6, 1))
    assert answer.verdict == "cannot", answer.why
    assert "proven" in answer.why


def test_interlocking_blocks() -> None:
    """Eight blocks 4x5x6 in a 10x10x10 cube: no straight stacking holds eight, an interlocked layout does."""
    pieces = [Piece((4, 5, 6))] * 8
    answer = fit(pieces, (10, 10, 10))
    assert_layout_holds(answer, pieces, (10, 10, 10))
    assert answer.why == "laid out by the constraint model"


@settings(max_examples=examples(40), deadline=None)
@given(st.data())
def test_a_box_cut_up_always_goes_back(data: st.DataObject) -> None:
    """Guillotine-cut a box at random: its pieces fit it again, in any order and turned."""
    blocks = [data.draw(st.tuples(*[st.integers(40, 400)] * 3))]
    inside = blocks[0]
    for _ in range(data.draw(st.integers(0, 4))):
        block = blocks.pop(data.draw(st.integers(0, len(blocks) - 1)))
        axis = data.draw(st.integers(0, 2))
        cut = data.draw(st.integers(1, block[axis] - 1)) if block[axis] > 1 else 0
        halves = [cut, block[axis] - cut] if cut else [block[axis]]
        blocks += [tuple(h if k == axis else block[k] for k in range(3)) for h in halves]
    pieces = [Piece(tuple(data.draw(st.permutations(block)))) for block in data.draw(st.permutations(blocks))]
    assert_layout_holds(fit(pieces, inside), pieces, inside)


def test_upright_pieces_keep_their_base() -> None:
    """A planter that must stand does not lie down, though lying it would fit."""
    tall = (120, 120, 300)
    assert fit([Piece(tall)], (310, 130, 130)).verdict == "fits"
    assert fit([Piece(tall, upright=True)], (310, 130, 130)).verdict == "cannot"


def test_two_that_cannot_lie_together() -> None:
    """The pairwise proof: volume is ample, yet neither side takes both."""
    answer = fit([Piece((60, 60, 60)), Piece((60, 60, 60))], (100, 100, 100))
    assert answer.verdict == "cannot"
    assert "beside each other" in answer.why


def test_many_pieces_without_layout_are_left_undecided() -> None:
    """What cannot be proven is not claimed: 27 bricks 1x2x4 in 6x6x6 (known impossible, de Bruijn)."""
    assert fit([Piece((1, 2, 4))] * 27, (6, 6, 6)).verdict == "undecided"


def test_cheapest_carton_that_takes_all() -> None:
    """Small cartons are passed over with the reason: weight, padding, size; then the cheapest that fits."""
    contents = [Content("planter", (180, 180, 190), 0.6, upright=True)] * 2 + [Content("leaflet", (210, 148, 2), 0.02)]
    cartons = [
        Carton("large", (400, 300, 250), (410, 310, 262), 0.40, 1.10),
        Carton("pair", (380, 200, 210), (386, 206, 218), 0.25, 0.70),
        Carton("weak", (380, 200, 210), (386, 206, 218), 0.20, 0.50, largest_kg=1.0),
        Carton("padded away", (60, 60, 60), (66, 66, 66), 0.05, 0.10, padding_mm=30),
        Carton("single", (200, 200, 200), (206, 206, 208), 0.15, 0.40),
    ]
    choice = choose_carton(contents, cartons)
    assert choice.carton is not None
    assert choice.carton.id == "pair"
    assert choice.gross_kg == pytest.approx(2 * 0.6 + 0.02 + 0.25)
    assert [name for name, _ in choice.tried] == ["padded away", "single", "weak"]
    assert "no room" in choice.tried[0][1]
    assert "over its 1 kg" in choice.tried[2][1]
    assert choose_carton([Content("mast", (900, 20, 20), 1)], cartons).carton is None
