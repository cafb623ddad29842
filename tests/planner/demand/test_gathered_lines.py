"""Lines of the same contents stand for each other: what they ask for does not depend on how the orders are written."""

from collections import Counter

from hypothesis import given, settings
from hypothesis import strategies as st

from planner.campaign.orders import OrderLine, contents_of, gathered
from planner.demand.items import ordered_items, pieces_of, units_of
from planner.reading.checks import check
from tests.support.pot_campaign import pot_campaign
from tests.support.sampled import examples

POTS = pot_campaign()
NAMES = st.sampled_from(["pot", "lid"])
CHOICES = st.dictionaries(NAMES, st.lists(st.sampled_from(["sage", "white"]), min_size=1, max_size=2), min_size=1)
LINES = st.builds(
    lambda tier, units, more, pieces, ref, count: OrderLine(
        tier=tier, units=units, extra_units=more, extra_pieces=pieces, ref=ref, count=count
    ),
    st.sampled_from(["one", "pair"]),
    CHOICES,
    st.just({}) | CHOICES,
    st.dictionaries(st.sampled_from(["leaflet", "spoon"]), st.integers(1, 3)),
    st.text("ab", max_size=2),
    st.integers(1, 5),
)


@settings(max_examples=examples(60), deadline=None)
@given(st.lists(LINES, max_size=12))
def test_gathering_keeps_every_unit_and_piece(lines: list[OrderLine]) -> None:
    """Line by line and gathered, the sums are the same; and no two gathered lines hold the same."""
    assert asked_for(gathered(lines)) == asked_for(lines)
    assert len({contents_of(line) for line in gathered(lines)}) == len(gathered(lines))


def test_a_wrong_line_among_its_likes_is_named_each_time() -> None:
    """Only sound lines stand for others: of wrong ones every one is told."""
    wrong = POTS.orders[0].model_copy(update={"tier": "nowhere"})
    spoiled = POTS.model_copy(update={"orders": [*POTS.orders, wrong, wrong]})
    pointers = [problem.pointer for problem in check(spoiled)]
    assert pointers == [f"/orders/{len(POTS.orders) + n}/tier" for n in range(2)]


def test_orders_split_into_single_lines_ask_for_the_same_parts() -> None:
    """A table of single orders and the same orders counted are one campaign."""
    singles = [line.model_copy(update={"count": 1}) for line in POTS.orders for _ in range(line.count)]
    assert ordered_items(POTS.model_copy(update={"orders": singles})) == ordered_items(POTS)


def asked_for(lines: list[OrderLine]) -> tuple[Counter[object], Counter[object]]:
    units: Counter[object] = Counter()
    pieces: Counter[object] = Counter()
    for line in lines:
        for unit, n in units_of(line).items():
            units[line.tier, unit] += n * line.count
        for piece, n in line.extra_pieces.items():
            pieces[line.tier, piece] += n * line.count
    return units, pieces


def test_pieces_of_the_tier_come_with_every_order() -> None:
    """Beside the add-ons each order takes its tier's own."""
    own = sum((Counter(pieces_of(POTS, line)) for line in gathered(POTS.orders)), Counter[str]())
    assert own
