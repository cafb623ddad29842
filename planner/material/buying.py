"""The buying list: need, stock, order quantity by bag and minimum order, left over, order-by date."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from planner import wording
from planner.calendars.moments import later
from planner.material.terms import Delivery, PieceBuy, PieceTerms, PieceUse, WeightBuy, WeightTerms, WeightUse

TOLERANCE = 1e-6
"""A milligram, or a millionth of a piece: below that a difference is rounding, not need."""


@dataclass(frozen=True)
class _Taking:
    """Something that must be there at a moment, and what is taken out of the store with it, later on."""

    name: str
    at: datetime
    amount: float
    later: float = 0.0


@dataclass(frozen=True)
class _Gap:
    """What stock and agreed deliveries leave uncovered: how much at worst, from when on, and what waits for it."""

    amount: float
    since: datetime | None
    waiting: tuple[str, ...]


def order_quantity(need: float, pack: float, minimum: float) -> float:
    """Smallest whole number of packs that is at least `need` and at least `minimum`; 0 when nothing is needed."""
    if need <= TOLERANCE:
        return 0.0
    return math.ceil((max(need, minimum) - TOLERANCE) / pack) * pack


def order_by(wanted: datetime, lead_days: int, door: time) -> date:
    """Last day to order so that the goods are there by `wanted`.

    They come to the door `lead_days` calendar days later, at wall-clock time `door`.
    wanted: aware moment; its own zone's calendar counts.
    """
    day = wanted.date() if wanted.time() >= door else wanted.date() - timedelta(days=1)
    return day - timedelta(days=lead_days)


def _gap(takings: Sequence[_Taking], stock: float, deliveries: Iterable[Delivery], dry: float) -> _Gap:
    """Walk the takings in order of time; each asks for what came at least `dry` hours before it."""
    coming = sorted(deliveries, key=lambda d: d.at.timestamp())
    here, taken, worst = stock, 0.0, 0.0
    since: datetime | None = None
    waiting: list[str] = []
    arrived = 0
    for taking in takings:
        while arrived < len(coming) and coming[arrived].at.timestamp() <= taking.at.timestamp() - dry * 3600:
            here += coming[arrived].amount
            arrived += 1
        taken += taking.amount
        if taken - here > TOLERANCE:
            worst = max(worst, taken - here)
            since = since or taking.at
            waiting.append(taking.name)
        taken += taking.later
    in_all = taken - stock - math.fsum(d.amount for d in coming)
    if in_all - max(worst, 0.0) > TOLERANCE and takings:
        worst, since = in_all, since or takings[-1].at
        waiting = waiting or [takings[-1].name]
    return _Gap(worst, since, tuple(waiting))


def _if_late(gap: _Gap, what: str, named_as: str) -> str:
    """What happens when the order comes late, in words."""
    if gap.since is None:
        return "Nothing waits for an order: stock and agreed deliveries cover it."
    others = len(dict.fromkeys(gap.waiting)) - 1
    more = "" if others == 0 else f" and {others} more {what}{'s' if others > 1 else ''} after it"
    return f"{what.capitalize()} {gap.waiting[0]} ({wording.moment(gap.since)}){more} must wait until {named_as} there."


def buy_by_weight(uses: Sequence[WeightUse], terms: WeightTerms, start: datetime, regrind_kg: float = 0.0) -> WeightBuy:
    """What to buy of one resin or masterbatch, kg.

    start: the campaign's start, aware; goods come to the door at its wall-clock time.
    regrind_kg: comes off what is used, but no start counts on it (a run must not wait for its own runners).
    Where nothing can be bought (no lead days) and stock and deliveries fall short, bought_kg is 0 and
    left_over_kg negative: the audit will find it.
    """
    in_order = sorted(uses, key=lambda u: u.at.timestamp())
    gap = _gap(
        [_Taking(u.run, u.at, u.kg, u.later_kg) for u in in_order if u.kg + u.later_kg > 0],
        terms.stock_kg,
        terms.deliveries,
        terms.drying_hours,
    )
    moulded = math.fsum(u.moulded_kg for u in in_order)
    startup = math.fsum(u.startup_kg + u.restart_kg for u in in_order)
    purge = math.fsum(u.purge_kg + u.closing_kg for u in in_order)
    used = moulded + startup + purge - regrind_kg
    arriving = math.fsum(d.amount for d in terms.deliveries)
    bought, last_day = 0.0, None
    if terms.lead_days is not None and gap.since is not None:
        bought = order_quantity(gap.amount, terms.bag_kg, terms.min_order_kg)
        wanted = later(gap.since, -3600 * terms.drying_hours)
        last_day = max(start.date(), order_by(wanted, terms.lead_days, start.time()))
    unused = max(0.0, bought - max(0.0, used - terms.stock_kg - arriving))
    return WeightBuy(
        moulded_kg=moulded,
        startup_kg=startup,
        purge_kg=purge,
        regrind_kg=regrind_kg,
        used_kg=used,
        stock_kg=terms.stock_kg,
        arriving_kg=arriving,
        bought_kg=bought,
        left_over_kg=terms.stock_kg + arriving + bought - used,
        left_over_cost=unused * terms.price_per_kg,
        first_use=next((u.at for u in in_order if u.kg > 0), None),
        short_from=gap.since,
        order_by=last_day,
        if_late=_if_late(gap, "run", "it is dried and" if terms.drying_hours else "it is"),
    )


def buy_pieces(uses: Sequence[PieceUse], terms: PieceTerms, start: datetime) -> PieceBuy:
    """What to buy of one bought-in piece. start: as for buy_by_weight."""
    in_order = sorted(uses, key=lambda u: u.at.timestamp())
    gap = _gap([_Taking(u.job, u.at, u.count) for u in in_order if u.count > 0], terms.stock, terms.deliveries, 0)
    used = sum(u.count for u in in_order)
    arriving = round(math.fsum(d.amount for d in terms.deliveries))
    bought, last_day, price = 0, None, terms.price
    if terms.lead_days is not None and gap.since is not None:
        bought = round(order_quantity(gap.amount, terms.pack_of, terms.min_order))
        if terms.order is not None:
            bought, price = terms.order(round(gap.amount))
        before, days = 0, []
        for lead, amount in (
            [(terms.lead_days, bought)] if terms.part_deliveries is None else terms.part_deliveries(bought)
        ):
            takings = [_Taking(u.job, u.at, u.count) for u in in_order if u.count > 0]
            since = _gap(takings, terms.stock + before, terms.deliveries, 0).since
            days += [] if since is None else [order_by(since, lead, start.time())]
            before += amount
        last_day = max(start.date(), min(days))
    unused = max(0, bought - max(0, used - terms.stock - arriving))
    return PieceBuy(
        used=used,
        stock=terms.stock,
        arriving=arriving,
        bought=bought,
        left_over=terms.stock + arriving + bought - used,
        left_over_cost=unused * price,
        price=price,
        first_use=next((u.at for u in in_order if u.count > 0), None),
        short_from=gap.since,
        order_by=last_day,
        if_late=_if_late(gap, "job", "they are"),
    )
