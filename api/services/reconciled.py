"""A new table of orders after parcels have left: each order against what was packed, by its number; none sent twice."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from api.uploads.compared import OrderChange, said
from api.uploads.document import planned_orders
from api.uploads.known import Known, order_key
from api.uploads.mapping import MappingProblem
from api.uploads.report import OrderLine
from planner.actuals.entries import AnyEntry, CameBack, Packed
from planner.campaign.orders import OrderLine as CampaignLine


@dataclass(frozen=True)
class Reconciled:
    """orders: those still to be sent. told: what the table changes of them, and what it cannot change any more."""

    orders: list[CampaignLine]
    told: list[OrderChange]


def reconciled(
    left_to_send: Sequence[CampaignLine],
    packed: Mapping[str, CampaignLine],
    table: Sequence[OrderLine],
    known: Known,
    whole_table: bool,
) -> Reconciled:
    """The orders still to be sent, by a new table.

    packed: order number in its one spelling -> an order that has left, whole or in part. whole_table: orders that the
    table does not hold are no orders any more. Raises MappingProblem where an order has no number: then nobody can tell
    whether it has left.
    """
    if not all(line.ref for line in left_to_send) or not all(row.ref for row in table):
        why = "parcels have left, and only an order number tells which orders they were"
        raise MappingProblem([("order number", why, "mark the column with the order number")])
    waiting: dict[str, list[CampaignLine]] = defaultdict(list)
    for line in left_to_send:
        waiting[order_key(line.ref)].append(line)
    wanted = {order_key(line.ref): line for line in table}
    orders: list[CampaignLine] = []
    new: list[OrderLine] = []
    told: list[OrderChange] = []
    for key, lines in waiting.items():
        ref, begun = lines[0].ref, key in packed or any(line.gone is not None for line in lines)
        row = wanted.get(key)
        if row is not None and _alike(lines, row):
            orders += lines
        elif begun and (row is not None or len(lines) > 1 or lines[0].gone is None):
            orders += lines
            told.append(OrderChange(ref, "part of it has left; the rest goes as it was, change it by hand if you must"))
        elif row is not None:
            new.append(row)
            told.append(OrderChange(ref, f"is now {said(row)}"))
        elif whole_table:
            what = (
                "part of it has left; the rest is not sent"
                if begun
                else "is not sent: no row of the table counts for it"
            )
            told.append(OrderChange(ref, what))
        else:
            orders += lines
    for key, row in wanted.items():
        if key in waiting:
            continue
        if key in packed:
            if not _alike([packed[key]], row):
                told.append(OrderChange(row.ref, f"has left already and is not sent again; the table says {said(row)}"))
        else:
            new.append(row)
            told.append(OrderChange(row.ref, f"is new: {said(row)}"))
    if whole_table:
        gone = sorted(packed.keys() - wanted.keys() - waiting.keys())
        told += [
            OrderChange(packed[key].ref, "has left already; no row of the table counts for it any more") for key in gone
        ]
    return Reconciled([*orders, *planned_orders(new, known).orders], told)


def has_left(plans: Iterable[tuple[Sequence[CampaignLine], Sequence[AnyEntry]]]) -> dict[str, CampaignLine]:
    """Order number in its one spelling -> an order that has left, whole or in part, and not come back to be sent again.

    plans: the orders and the log of each plan, the first one first.
    """
    packed: dict[str, CampaignLine] = {}
    for orders, entries in plans:
        parcels: Counter[int] = Counter()
        for entry in entries:
            if isinstance(entry, Packed):
                parcels[entry.line] += entry.parcels
            elif isinstance(entry, CameBack) and entry.again:
                if entry.line is not None:
                    parcels[entry.line] -= entry.parcels
                elif entry.order is not None:
                    packed.pop(order_key(entry.order.ref), None)
        packed |= {order_key(orders[n].ref): orders[n] for n, count in parcels.items() if count > 0 and n < len(orders)}
    return packed


def _alike(lines: Sequence[CampaignLine], row: OrderLine) -> bool:
    """Whether a row says what is planned already; choices it leaves open are as they were planned. Of one order, a part
    may stand in a line of its own because its colourway was open until a vote."""
    line = lines[0]
    in_parts = all(part.model_copy(update={"count": line.count}) == line for part in lines[1:])
    if not in_parts or sum(part.count for part in lines) != row.count:
        return False
    add_ons: dict[str, int] = dict(line.extra_pieces)
    for product, ways in line.extra_units.items():
        for way in ways:
            add_ons[f"{product}/{way}"] = add_ons.get(f"{product}/{way}", 0) + 1
    chosen = [way for ways in line.units.values() for way in ways]
    same = len(chosen) == len(row.colourways) and all(
        way is None or way == planned for way, planned in zip(row.colourways, chosen, strict=False)
    )
    mine = line.tier, line.country, line.opens, add_ons
    return same and mine == (row.tier, row.country, row.opens, dict(row.add_ons))
