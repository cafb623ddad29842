"""Orders that go out in parts (A10): together the parts hold what was ordered, what could be ready first goes first."""

from collections import Counter, defaultdict
from collections.abc import Iterator
from datetime import date, datetime, timedelta

from planner.audit.case import Case
from planner.audit.needs import pieces_of, units_of
from planner.campaign.orders import OrderLine

Inside = tuple[tuple[tuple[tuple[str, str], int], ...], tuple[tuple[str, int], ...]]
"""Units and pieces of one parcel, cartons left out; each sorted."""


def parts_due(case: Case, order: OrderLine) -> list[tuple[int, int]]:
    """(part, of how many) of every parcel in which each order of the line still goes out."""
    split = case.campaign.tiers[order.tier].split if order.tier in case.campaign.tiers else None
    gone = order.gone.parcels if order.gone else 0
    number = 1
    if split is not None and split.ship == "in parts":
        number = max(1, min(split.parcels - gone, len(units_of(order))))
    return [(gone + k, gone + number) for k in range(1, number + 1)]


def units_share(case: Case, line: int, contents: dict[str, dict[str, int]]) -> tuple[int, int]:
    """Units in a parcel of an order line's, and in the whole order, gone or not."""
    if not 0 <= line < len(case.campaign.orders):
        return 1, 1
    here = sum(n for ways in contents.values() for n in ways.values())
    order = case.campaign.orders[line]
    return here, sum(len(ways) for chosen in (order.units, order.extra_units) for ways in chosen.values())


def part_troubles(case: Case, inside: dict[tuple[int, int], set[Inside]]) -> Iterator[str]:
    """Whatever is wrong with the parts of order lines. inside: (order line, part from 1) -> contents met with."""
    by_line: dict[int, dict[int, set[Inside]]] = defaultdict(dict)
    for (line, part), met in inside.items():
        by_line[line][part] = met
    known: dict[object, list[str]] = {}
    for line, parts in sorted(by_line.items()):
        order = case.campaign.orders[line]
        ordered = units_of(order), pieces_of(case.campaign, order)
        key = (
            order.tier,
            *(frozenset(c.items()) for c in ordered),
            tuple((p, frozenset(parts[p])) for p in sorted(parts)),
        )
        if key not in known:
            known[key] = list(_of_order(case, *ordered, parts))
        for trouble in known[key]:
            yield f"order line {line}: {trouble}"


def _of_order(
    case: Case, units: Counter[tuple[str, str]], pieces: Counter[str], parts: dict[int, set[Inside]]
) -> Iterator[str]:
    if any(len(met) != 1 for met in parts.values()):
        yield "its parcels of one part differ"
        return
    in_order = [next(iter(parts[part])) for part in sorted(parts)]
    held = [dict(units) for units, _ in in_order]
    together: Counter[tuple[str, str]] = Counter()
    beside: Counter[str] = Counter()
    for some, others in in_order:
        together.update(dict(some))
        beside.update(dict(others))
    if together != units or beside != pieces:
        yield "its parts do not hold together what was ordered"
        return
    if not units:
        return
    if any(not part or any(n != units[unit] for unit, n in part.items()) for part in held):
        yield "a part is empty, or units alike are not in one parcel"
    moments = [[_unit_ready(case, unit) for unit in part] for part in held]
    for n in range(1, len(moments)):
        if moments[n - 1] and moments[n] and max(moments[n - 1]) > min(moments[n]):
            yield f"part {n} could be ready only after something of part {n + 1}"
    for n, (_, others) in enumerate(in_order):
        for piece, _ in others:
            there = _piece_ready(case, piece)
            could = [k for k, part in enumerate(moments) if part and max(part) >= there]
            if n != (could[0] if could else len(moments) - 1):
                yield f"piece `{piece}` is not with the first part it is there for"


def _unit_ready(case: Case, unit: tuple[str, str]) -> datetime:
    product = case.campaign.products[unit[0]]
    latest = [_piece_ready(case, piece) for piece in product.pieces]
    for item in case.items_in(*unit):
        makers = [name for name, tool in case.campaign.tools.items() if item[0] in tool.cavities]
        ready = [case.ready[name] for name in makers]
        if case.needs[item].missing_for_orders and makers and None not in ready:
            latest.append(min(_wall(day) for day in ready if day is not None))
    return max([case.campaign.start, *latest])


def _piece_ready(case: Case, piece: str) -> datetime:
    bought, start = case.campaign.pieces[piece], case.campaign.start
    if bought.stock:
        return start
    comes = [_wall(arrival.on) for arrival in bought.arrivals]
    comes += [start + timedelta(days=other.lead_days) for other in bought.also_from]
    comes += [start + timedelta(days=bought.lead_days)] if bought.lead_days is not None else []
    return max(start, min(comes, default=start))


def _wall(when: date | datetime) -> datetime:
    return when if isinstance(when, datetime) else datetime.combine(when, datetime.min.time())
