"""What an order of bought-in pieces is: how many, at which price, and when which of them come."""

from dataclasses import dataclass
from math import ceil, floor

from planner.campaign.products import Piece
from planner.material.buying import order_quantity

HAIR = 1e-9


@dataclass(frozen=True)
class PieceOrder:
    """pieces: 0 where none is needed. price: for each of them."""

    pieces: int
    price: float


def in_all(piece: Piece) -> int:
    """Pieces in stock, agreed, and ordered from others."""
    return piece.stock + sum(int(a.amount) for a in piece.arrivals) + sum(o.pieces for o in piece.also_from)


def price_at(piece: Piece, pieces: int) -> float:
    """Money for each piece of an order of so many."""
    reached = [step for step in piece.price_breaks if step.pieces <= pieces]
    return max(reached, key=lambda step: step.pieces).price if reached else piece.price


def cheapest_order(piece: Piece, short: int) -> PieceOrder:
    """The order that covers what is short and costs least in all; of equals the smaller.

    Whole packs, at least the minimum; as many as a price break asks for, where that costs less.
    """
    least = round(order_quantity(short, piece.pack_of, piece.min_order))
    if least == 0:
        return PieceOrder(0, piece.price)
    sizes = {least, *(ceil(step.pieces / piece.pack_of) * piece.pack_of for step in piece.price_breaks)}
    best = min((size for size in sizes if size >= least), key=lambda size: (size * price_at(piece, size), size))
    return PieceOrder(best, price_at(piece, best))


def part_deliveries(piece: Piece, pieces: int) -> list[tuple[int, int]]:
    """(days after the order, pieces) of each part of an order that comes by itself, in order of days."""
    if piece.lead_days is None:
        return []
    if not piece.comes_in:
        return [(piece.lead_days, pieces)]
    found, share, before = [], 0.0, 0
    for part in sorted(piece.comes_in, key=lambda part: part.after_days):
        share += part.share
        upto = pieces if share >= 1 - HAIR else floor(pieces * share + HAIR)
        found.append((piece.lead_days + part.after_days, upto - before))
        before = upto
    return found


def dearer(piece: Piece, price: float) -> float:
    """What orders at other suppliers cost beyond what their pieces are counted at."""
    return sum(order.pieces * (order.price - price) for order in piece.also_from)


def unused(piece: Piece, used: int, ordered: int) -> int:
    """Pieces of this order and of others' that are not used, stock and agreed deliveries going first."""
    others = sum(order.pieces for order in piece.also_from)
    return max(0, ordered + others - max(0, used - in_all(piece) + others))
