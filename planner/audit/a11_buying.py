"""A11, buying: what is bought covers what stock and agreed arrivals fall short of, in the smallest order, in time."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from datetime import date, datetime, timedelta

from planner.audit import masses
from planner.audit.a03_there import there
from planner.audit.arrivals import drying_seconds
from planner.audit.case import Case, pieces_at
from planner.audit.figures import KG, exact, whole_up
from planner.audit.findings import Findings
from planner.audit.finishing import piece_taken_at
from planner.audit.masses import Material
from planner.audit.pieces import agreed, order, part_deliveries, without_order
from planner.audit.trial_stock import in_stock
from planner.campaign.products import Piece
from planner.plan.document import Material as MaterialLine
from planner.plan.document import PieceNeed

HAIR = 1e-7
"""Kilograms below which two sums are the same, however they were added up."""


def buying(case: Case, line: MaterialLine, taken: float, notes: Findings) -> None:
    """Enough of one material, in whole bags, at least the smallest order, no bag too many, and ordered in time.

    taken: kg that all runs take, before any regrind comes off.
    """
    what, material = f"{line.kind} `{line.id}`", (line.kind, line.id)
    entry = masses.bought(case.campaign, material)
    short, when, perhaps = _shortest(case, material)
    need = max(taken - in_stock(case, material) - sum(arrival.amount for arrival in entry.arrivals), short)
    least, most = (smallest_order(need + slack, entry.bag_kg, entry.min_order_kg) for slack in (-4 * KG, 4 * KG))
    notes.expect(
        least - KG <= line.bought_kg <= most + KG,
        f"{what}: {max(0.0, need):.2f} kg are missing, so {most:g} kg in bags of {entry.bag_kg:g} kg are to be bought, "
        f"the plan buys {line.bought_kg:g} kg",
    )
    who = {(work.run.id, work.begin) for work in case.works if work.begin in perhaps}
    if when is None and line.bought_kg > 0:
        # bought for restarts after the last start: any of the runs may be named
        who |= {(work.run.id, work.begin) for work in case.works}
    _if_late(case, what, line.if_late, when is None and line.bought_kg <= 0, who, notes)
    _order_by(case, what, line.bought_kg, line.order_by, entry.lead_days, _less(when, drying_seconds(entry)), notes)


def pieces(case: Case, notes: Findings) -> None:
    """Bought-in pieces: used, in stock, arriving and bought add up; each stands in the list once."""
    takes: dict[str, list[tuple[int, int, str]]] = defaultdict(list)
    for job in case.plan.assembly:
        product = case.campaign.products.get(job.product)
        for piece, count in product.pieces.items() if product else ():
            second, who = piece_taken_at(case, job, piece)
            takes[piece].append((second, count * job.units, who))
    for batch in case.plan.batches:
        for piece, count in batch.pieces.items():
            takes[piece].append((case.clock.second(batch.start), count * batch.parcels, batch.id))
    for work in case.works:
        for piece, count in pieces_at(case.campaign, work).items():
            takes[piece].append((work.begin, count, work.run.id))
    listed = [line.id for line in case.plan.pieces]
    for name in sorted(set(takes) | set(listed)):
        times = listed.count(name)
        notes.expect(
            times == 1 or (not times and not sum(count for _, count, _ in takes[name])),
            f"piece `{name}` must stand once among the bought-in pieces, not {times} times",
        )
    for line in case.plan.pieces:
        _piece(case, line, takes[line.id], notes)


def smallest_order(need: float, pack: float, least: float) -> float:
    """The smallest amount that can be bought and covers the need; 0 for none."""
    if need <= 0:
        return 0.0
    return float(whole_up(max(exact(need), exact(least)) / exact(pack)) * exact(pack))


def _shortest(case: Case, material: Material) -> tuple[float, int | None, list[int]]:
    """Most kg that stock and arrivals fall short at the start of any run, without regrind and what it takes later on.

    Returns with it the first moment at which they fall short by more than rounding to the gram, and the moments up to
    it at which they fall short at all.
    """
    taken, worst, when = 0.0, 0.0, None
    perhaps: list[int] = []
    for work, (at_start, as_it_goes) in zip(case.works, case.once("starts", lambda: _starts(case)), strict=True):
        wanted = taken + at_start.get(material, 0.0)
        after = wanted + as_it_goes.get(material, 0.0)
        if wanted > taken:
            here = there(case, material, work.begin)[0]
            worst = max(worst, wanted - here)
            if wanted - here > HAIR and when is None:
                perhaps.append(work.begin)
            if wanted - here > KG and when is None:
                when = work.begin
        taken = after
    return worst, when, perhaps


def _starts(case: Case) -> list[tuple[dict[Material, float], dict[Material, float]]]:
    """Of each run in turn: kg that must be there when it begins, and kg that it takes as it goes on."""
    return [(masses.at_start(case.campaign, work), masses.later(case.campaign, work)) for work in case.works]


def _piece(case: Case, line: PieceNeed, takes: Sequence[tuple[int, int, str]], notes: Findings) -> None:
    piece, what = case.campaign.pieces.get(line.id), f"piece `{line.id}`"
    if piece is None:
        notes.fault(f"the campaign has no bought-in {what}")
        return
    arriving = sum(pieces for _, pieces in agreed(case, piece))
    used, worst, when = 0, 0, None
    shortages: list[tuple[int, int]] = []
    for second, count, _ in sorted(takes):
        used += count
        short = used - without_order(case, piece, second)
        shortages.append((second, short))
        worst, when = max(worst, short), second if when is None and short > 0 else when
    for name, told, ours in (
        ("used", line.used, used),
        ("in stock", line.stock, piece.stock),
        ("arriving", line.arriving, arriving),
        ("bought", line.bought, order(piece, worst).pieces),
        ("left over", line.left_over, piece.stock + arriving + line.bought - used),
    ):
        notes.expect(told == ours, f"{what}: {name} {ours}, the plan says {told}")
    first = min((second for second, _, _ in takes), default=None)
    dated = case.clock.second(line.first_use) if line.first_use else None
    notes.expect(first == dated, f"{what}: first used {case.clock.say(first or 0)}, the plan says otherwise")
    each = order(piece, worst).price
    notes.expect(line.price == float(each), f"{what}: costs {float(each):g}, not {line.price:g}")
    _part_deliveries(case, line, piece, shortages, notes)
    _if_late(case, what, line.if_late, when is None, {(who, at) for at, _, who in takes if at == when}, notes)
    _order_by(case, what, line.bought, line.order_by, piece.lead_days, when, notes)


def _part_deliveries(
    case: Case, line: PieceNeed, piece: Piece, shortages: list[tuple[int, int]], notes: Findings
) -> None:
    """The parts of an order: as the supplier sends them, and each there before the one before it is used up."""
    what, came = f"piece `{line.id}`", 0
    due = part_deliveries(piece, line.bought) if line.order_by is not None else []
    days = [] if line.order_by is None else [(line.order_by + timedelta(days=n), pieces) for n, pieces in due]
    told = [(lot.on, lot.pieces) for lot in line.lots]
    notes.expect(told == (days if piece.comes_in else []), f"{what}: its lots come {days}, the plan says {told}")
    if not piece.comes_in or line.order_by is None:
        return
    for n, pieces in due:
        wanted = next((second for second, short in shortages if short > came), None)
        ordered = max(line.order_by, case.campaign.start.date())
        comes = case.clock.at(datetime.combine(ordered + timedelta(days=n), case.campaign.start.time()))
        notes.expect(
            wanted is None or comes <= wanted or ordered == case.campaign.start.date(),
            f"{what}: ordered {line.order_by} its lot of {pieces} comes {case.clock.say(comes)}, too late",
        )
        came += pieces


def _if_late(
    case: Case, what: str, said: str, may_be_none: bool, who: Collection[tuple[str, int]], notes: Findings
) -> None:
    """Whoever is said to wait is what first takes more than stock and arrivals give. Plans of old say nothing, or
    the day as `2027-02-19`.

    may_be_none: stock and arrivals may cover it all. who: names that may stand there, each with its second.
    """
    if not said:
        return
    days = [(name, datetime.fromtimestamp(at, case.clock.zone)) for name, at in who]
    named = [f"{name} ({at:%a} {at.day} {at:%b %Y %H:%M})" for name, at in days]
    named += [f"{name} ({at:%Y-%m-%d %H:%M})" for name, at in days]
    holds = any(said.partition(" ")[2].startswith(one) for one in named)
    holds |= may_be_none and said.startswith("Nothing waits for an order")
    notes.expect(holds, f"{what}: if it is late, somebody else waits than the plan says")


def _less(moment: int | None, seconds: int) -> int | None:
    return None if moment is None else moment - seconds


def _order_by(
    case: Case,
    what: str,
    bought: float,
    order_by: date | None,
    lead_days: int | None,
    wanted: int | None,
    notes: Findings,
) -> None:
    """The order-by date: there when something is bought, not before the campaign, and early enough.

    Goods come to the door `lead_days` after the order, at the time of day at which the campaign starts.
    wanted: second by which they must be at the door, if stock and arrivals do not cover all.
    """
    notes.expect(bought <= 0 or lead_days is not None, f"{what}: no more can be bought")
    if not notes.expect((order_by is None) == (bought <= 0), f"{what}: an order-by date goes with what is bought"):
        return
    if order_by is None or lead_days is None:
        return
    start = case.campaign.start
    notes.expect(order_by >= start.date(), f"{what}: is to be ordered {order_by}, before the campaign")
    if wanted is not None:
        comes = case.clock.at(
            datetime.combine(min(order_by, date(9000, 1, 1)) + timedelta(days=lead_days), start.time())
        )
        notes.expect(
            comes <= wanted,
            f"{what}: ordered {order_by} it comes {case.clock.say(comes)}, it must be there {case.clock.say(wanted)}",
        )
