"""Bought-in pieces read from the campaign: orders at other suppliers, price breaks, lots in which an order comes."""

from datetime import timedelta
from fractions import Fraction
from math import floor
from typing import NamedTuple

from planner.audit.case import Case
from planner.audit.figures import exact, whole_up
from planner.campaign.products import Piece


class Order(NamedTuple):
    """pieces: 0 for none. price: money for each."""

    pieces: int
    price: Fraction


def agreed(case: Case, piece: Piece) -> list[tuple[int, int]]:
    """(second, pieces) of deliveries agreed and of orders at other suppliers."""
    return case.once(("agreed", id(piece)), lambda: _agreed(case, piece))


def _agreed(case: Case, piece: Piece) -> list[tuple[int, int]]:
    found = [(case.clock.at(arrival.on), int(arrival.amount)) for arrival in piece.arrivals]
    start = case.campaign.start
    found += [(case.clock.at(start + timedelta(days=one.lead_days)), one.pieces) for one in piece.also_from]
    return found


def without_order(case: Case, piece: Piece, second: int) -> int:
    """Pieces there at a second, in stock and agreed."""
    return piece.stock + sum(pieces for at, pieces in agreed(case, piece) if at <= second)


def ordered_there(case: Case, piece: Piece, pieces: int, second: int) -> int:
    """Of an order of the first day, the pieces that are there at a second."""
    come = case.once(("comes", id(piece), pieces), lambda: _comes(case, piece, pieces))
    return sum(n for at, n in come if at <= second)


def _comes(case: Case, piece: Piece, pieces: int) -> list[tuple[int, int]]:
    start = case.campaign.start
    return [(case.clock.at(start + timedelta(days=days)), n) for days, n in part_deliveries(piece, pieces)]


def order(piece: Piece, short: int) -> Order:
    """The order of least money that covers what is short: every number of packs up to the last price break is tried."""
    if short <= 0:
        return Order(0, exact(piece.price))
    least = max(whole_up(Fraction(short, piece.pack_of)), whole_up(Fraction(piece.min_order, piece.pack_of)))
    last = max((whole_up(Fraction(step.pieces, piece.pack_of)) for step in piece.price_breaks), default=least)
    worth = {least} | {whole_up(Fraction(step.pieces, piece.pack_of)) for step in piece.price_breaks}
    tried = [packs * piece.pack_of for packs in worth if least <= packs <= max(least, last)]
    return min((Order(n, price(piece, n)) for n in tried), key=lambda one: (one.pieces * one.price, one.pieces))


def price(piece: Piece, pieces: int) -> Fraction:
    """Money for each piece of an order of so many."""
    at = exact(piece.price)
    for step in sorted(piece.price_breaks, key=lambda step: step.pieces):
        if pieces >= step.pieces:
            at = exact(step.price)
    return at


def part_deliveries(piece: Piece, pieces: int) -> list[tuple[int, int]]:
    """(days after the order, pieces) of each part of an order that comes by itself."""
    if piece.lead_days is None:
        return []
    found: list[tuple[int, int]] = []
    share = Fraction(0)
    for one in sorted(piece.comes_in, key=lambda one: one.after_days):
        share += exact(one.share)
        found.append(
            (piece.lead_days + one.after_days, floor(pieces * min(share, Fraction(1))) - sum(n for _, n in found))
        )
    return found or [(piece.lead_days, pieces)]


def money(piece: Piece, used: int, bought: int) -> tuple[Fraction, Fraction]:
    """(for what is used, for what is left of orders) of a piece."""
    each, others = price(piece, bought), sum(one.pieces for one in piece.also_from)
    if not bought:
        each = exact(piece.price)
    had = piece.stock + sum(int(arrival.amount) for arrival in piece.arrivals)
    over = sum((one.pieces * (exact(one.price) - each) for one in piece.also_from), Fraction(0))
    return used * each + over, max(0, bought + others - max(0, used - had)) * each
