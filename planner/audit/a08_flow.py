"""A8: at every moment, parts used <= parts moulded and rested + stock; same for bought-in pieces and arrivals.

Parts come off the press one shot at a time; those counted on after the n-th shot of a demand are
floor(n x needed / shots asked for).
"""

from collections import Counter, defaultdict

from planner.audit.a08_finishing import in_order
from planner.audit.a08_service_order import in_turn
from planner.audit.case import Case, parts_at, pieces_at
from planner.audit.findings import Findings
from planner.audit.finishing import piece_taken_at, taken_at, there
from planner.audit.needs import Item
from planner.audit.pieces import ordered_there, without_order
from planner.plan.document import PackBatch, RuleVerdict


def check(case: Case) -> RuleVerdict:
    """A8: a sweep over every moment at which something is taken."""
    notes = Findings("A8")
    _parts(case, notes)
    _pieces(case, notes)
    in_order(case, notes)
    in_turn(case, notes)
    for batch in case.plan.batches:
        _assembled(case, batch, notes)
    known = {batch.id for batch in case.plan.batches}
    for job in case.plan.assembly:
        notes.expect(job.batch in known, f"assembly {job.id} is for batch {job.batch}, which the plan does not have")
    return notes.verdict(True, "parts and pieces for the orders")


def _parts(case: Case, notes: Findings) -> None:
    taken: Counter[Item] = Counter()
    takes: list[tuple[int, str, Item, int]] = []
    for job in case.plan.assembly:
        product = case.campaign.products.get(job.product)
        if product is None or job.colourway not in product.colourways:
            notes.fault(f"assembly {job.id}: no product `{job.product}` in `{job.colourway}`")
            continue
        for item, count in case.items_in(job.product, job.colourway).items():
            takes.append((taken_at(case, job, item), f"assembly {job.id}", item, count * job.units))
    for work in case.works:
        parts = parts_at(case.campaign, work)
        takes += [(work.begin, f"{work}", item, count) for item, count in parts.items()]
        due = Counter({(item[0], *item[1]): count for item, count in parts.items()})
        due.update({(piece,): count for piece, count in pieces_at(case.campaign, work).items()})
        told = {(one.id, *one.colours): one.number for one in work.run.takes}
        notes.expect(told == dict(due), f"{work}: its shots take {dict(due)}, the plan says {told}")
    for start, who, item, count in sorted(takes):
        taken[item] += count
        rest, here = case.rest_seconds[item[0]], there(case, item, start)
        if taken[item] <= here:
            notes.look()  # what would be wrong is put in words only where it is: thousands are taken
            continue
        notes.fault(
            f"{who} at {case.clock.say(start)}: {taken[item]} of `{item[0]}` in "
            f"{' and '.join(item[1])} are used by then, {here} are there{' and rested' if rest else ''}"
        )


def _pieces(case: Case, notes: Findings) -> None:
    takes: dict[str, list[tuple[int, int, str]]] = defaultdict(list)
    for job in case.plan.assembly:
        product = case.campaign.products.get(job.product)
        for name, count in product.pieces.items() if product else ():
            takes[name].append((piece_taken_at(case, job, name)[0], count * job.units, f"assembly {job.id}"))
    for batch in case.plan.batches:
        for name, count in batch.pieces.items():
            takes[name].append((case.clock.second(batch.start), count * batch.parcels, f"batch {batch.id}"))
    for work in case.works:
        for name, count in pieces_at(case.campaign, work).items():
            takes[name].append((work.begin, count, f"{work}"))
    ordered = {line.id: line.bought for line in case.plan.pieces}
    for name, taken in takes.items():
        piece = case.campaign.pieces.get(name)
        if piece is None:
            notes.fault(f"the campaign has no bought-in piece `{name}`")
            continue
        used = 0
        for second, count, who in sorted(taken):
            used += count
            here = without_order(case, piece, second) + ordered_there(case, piece, ordered.get(name, 0), second)
            notes.expect(
                used <= here,
                f"{who} at {case.clock.say(second)}: {used} of piece `{name}` are used by then, {here} are there",
            )


def _assembled(case: Case, batch: PackBatch, notes: Findings) -> None:
    """A batch packs what its own assembly jobs made, no unit more or less, and not before they are done."""
    made: Counter[tuple[str, str]] = Counter()
    packing = case.clock.second(batch.start)
    for job in case.jobs_of(batch):
        made[job.product, job.colourway] += job.units
        end = case.clock.second(job.end)
        notes.expect(
            end <= packing,
            f"batch {batch.id} is packed from {case.clock.say(packing)}, its assembly {job.id} ends "
            f"{case.clock.say(end)}",
        )
    packed = Counter(
        {
            (product, colourway): units * batch.parcels
            for product, colourways in batch.contents.items()
            for colourway, units in colourways.items()
        }
    )
    notes.expect(
        made == packed,
        f"batch {batch.id} packs {sum(packed.values())} units, its assembly jobs make {sum(made.values())}"
        if sum(made.values()) != sum(packed.values())
        else f"batch {batch.id} packs other colourways than its assembly jobs make",
    )
