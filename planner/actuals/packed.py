"""What the floor's log says has been packed: whole orders, and parts of orders."""

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from planner.actuals.entries import Actuals, CameBack, Packed
from planner.campaign import Campaign
from planner.campaign.orders import Gone, OrderLine
from planner.demand.items import ordered_items, pieces_of, units_of
from planner.demand.parts import CouldBeReady, OrderPart, alike, order_parts


@dataclass(frozen=True)
class PackedOrders:
    """Orders of a line with the same of their parcels packed.

    units, pieces: of each, packed by the log. whole: nothing is left. gone: else, as the campaign says it.
    settles: whether those orders are done with. Parcels lost took units and pieces and settle nothing; of parcels whose
    contents came back, `orders` is below 0.
    """

    line: int
    orders: int
    units: Counter[tuple[str, str]]
    pieces: Counter[str]
    whole: bool
    gone: Gone | None
    settles: bool = True


def packed_orders(campaign: Campaign, actuals: Actuals) -> list[PackedOrders]:
    """By order line. Of parts packed in unlike numbers, as many as can be are taken to belong to the same orders."""
    logged: dict[int, Counter[int | None]] = defaultdict(Counter)
    for entry in actuals.entries:
        if isinstance(entry, Packed):
            logged[entry.line][entry.part] += entry.parcels
        elif isinstance(entry, CameBack) and entry.line is not None and entry.again:
            logged[entry.line][entry.part] -= entry.parcels
    ready = CouldBeReady(campaign, ordered_items(campaign))
    found = []
    for n, counts in sorted(logged.items()):
        line = campaign.orders[n]
        if whole := counts.pop(None, 0):
            found.append(PackedOrders(n, whole, units_of(line), pieces_of(campaign, line), True, None))
        parts = {part.number: part for part in order_parts(campaign, ready, alike(campaign, line))}
        most_first = sorted((part for part in counts if part is not None), key=lambda part: (-counts[part], part))
        for k, part in enumerate(most_first):
            following = counts[most_first[k + 1]] if k + 1 < len(most_first) else 0
            if counts[part] > following:
                taken = [parts[number] for number in most_first[: k + 1]]
                found.append(_orders_packed(n, line, counts[part] - following, taken, len(taken) == len(parts)))
    return found + [
        one for entry in actuals.entries if isinstance(entry, CameBack) for one in _came_back(campaign, entry)
    ]


def units_back(campaign: Campaign, actuals: Actuals) -> Counter[tuple[str, str]]:
    """(product, colourway) -> units that came back and are good."""
    back: Counter[tuple[str, str]] = Counter()
    for entry in actuals.entries:
        if isinstance(entry, CameBack) and entry.in_hand:
            for unit, number in contents_of(campaign, entry)[0].items():
                back[unit] += number * entry.parcels
    return back


def contents_of(campaign: Campaign, entry: CameBack) -> tuple[Counter[tuple[str, str]], Counter[str]]:
    """Units and pieces of one of the parcels."""
    line = campaign.orders[entry.line] if entry.line is not None else entry.order
    assert line is not None
    if entry.part is None:
        return units_of(line), pieces_of(campaign, line)
    ready = CouldBeReady(campaign, ordered_items(campaign))
    part = next(part for part in order_parts(campaign, ready, alike(campaign, line)) if part.number == entry.part)
    return Counter(dict(part.units)), Counter(dict(part.pieces))


def _came_back(campaign: Campaign, entry: CameBack) -> Iterator[PackedOrders]:
    """What parcels that came back or were lost took with them, beyond what the orders done with took."""
    units, pieces = contents_of(campaign, entry)
    at = -1 if entry.line is None else entry.line
    nothing: Counter[tuple[str, str]] = Counter()
    left_before = entry.order is not None
    if entry.again and not left_before:
        yield PackedOrders(at, entry.parcels, nothing if entry.in_hand else units, pieces, False, None, settles=False)
    elif entry.in_hand:
        yield PackedOrders(at, -entry.parcels, units, Counter(), False, None, settles=False)


def _orders_packed(n: int, line: OrderLine, orders: int, taken: list[OrderPart], whole: bool) -> PackedOrders:
    units: Counter[tuple[str, str]] = Counter()
    pieces: Counter[str] = Counter()
    for part in taken:
        units.update(dict(part.units))
        pieces.update(dict(part.pieces))
    before = line.gone or Gone.model_construct(parcels=0, units={}, pieces={})
    gone_units = {product: list(colourways) for product, colourways in before.units.items()}
    for (product, colourway), number in sorted(units.items()):
        gone_units.setdefault(product, []).extend([colourway] * number)
    gone = Gone(parcels=before.parcels + len(taken), units=gone_units, pieces=dict(Counter(before.pieces) + pieces))
    return PackedOrders(n, orders, units, pieces, whole, None if whole else gone)
