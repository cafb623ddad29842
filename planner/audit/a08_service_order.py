"""The order of service (A8): parts and pieces are allotted to batches in it, whichever is packed first."""

from collections import Counter

from planner.audit.case import Case
from planner.audit.findings import Findings
from planner.audit.finishing import piece_taken_at, taken_at, there
from planner.audit.needs import Item
from planner.audit.pieces import ordered_there, without_order


def in_turn(case: Case, notes: Findings) -> None:
    """No batch takes what is allotted to one served before it. Plans of old do not say the order."""
    batches = sorted(case.plan.batches, key=lambda batch: batch.served)
    places = [batch.served for batch in batches]
    if not any(places):
        return
    notes.expect(places == list(range(1, len(places) + 1)), "the places in the order of service are not 1, 2, 3, ...")
    parts: Counter[Item] = Counter()
    pieces: Counter[str] = Counter()
    for batch in batches:
        own_parts: Counter[Item] = Counter()
        own_pieces: Counter[str] = Counter()
        for job in case.jobs_of(batch):
            product = case.campaign.products.get(job.product)
            if product is None or job.colourway not in product.colourways:
                continue
            who = f"assembly {job.id}"
            for item, count in case.items_in(job.product, job.colourway).items():
                own_parts[item] += count * job.units
                _part(case, who, item, parts[item] + count * job.units, taken_at(case, job, item), notes)
            for name, count in product.pieces.items():
                own_pieces[name] += count * job.units
                _piece(case, who, name, pieces[name] + count * job.units, piece_taken_at(case, job, name)[0], notes)
        parts.update(own_parts)
        pieces.update(own_pieces)
        start = case.clock.second(batch.start)
        for name, count in batch.pieces.items():
            pieces[name] += count * batch.parcels
            _piece(case, f"batch {batch.id}", name, pieces[name], start, notes)


def _part(case: Case, who: str, item: Item, asked: int, start: int, notes: Findings) -> None:
    here = there(case, item, start)
    if asked <= here:
        notes.look()
        return
    notes.fault(
        f"{who} at {case.clock.say(start)} takes `{item[0]}` in {' and '.join(item[1])} that batches served before it "
        f"have first claim on: {asked} with theirs, {here} are there"
    )


def _piece(case: Case, who: str, name: str, asked: int, start: int, notes: Findings) -> None:
    piece = case.campaign.pieces.get(name)
    if piece is None:
        return
    bought = case.once(("bought",), lambda: {line.id: line.bought for line in case.plan.pieces}).get(name, 0)
    here = without_order(case, piece, start) + ordered_there(case, piece, bought, start)
    notes.expect(
        asked <= here,
        f"{who} at {case.clock.say(start)} takes `{name}` that batches served before it have first claim on: {asked} "
        f"with theirs, {here} are there",
    )
