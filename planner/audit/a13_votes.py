"""A13, of orders whose colourway is open (RULES.md, S10.5): they add up to what the campaign says of each outcome, and
nothing of them is moulded, put together or packed before it is known.
"""

from collections import Counter
from datetime import datetime

from planner.audit.case import Case
from planner.audit.findings import Findings
from planner.campaign.orders import OrderLine
from planner.campaign.uncertainty import Settled
from planner.plan.document import Branches

Moves = Counter[tuple[str, str, str, str | None]]
"""(product, colourway that is counted on, what it becomes, tier or none) -> orders."""


def check(case: Case, told: Branches, known: datetime, notes: Findings) -> None:
    """Look at what the branches move, and when it is begun."""
    unsure = case.campaign.uncertainty
    kind, _, name = told.thing.partition("/")
    one = unsure.settled.get(name) if unsure is not None and kind == "settled" else None
    if one is None or not any(outcome.moves for outcome in one.outcomes.values()):
        return
    if not notes.expect(one.between is not None, f"{told.about}: orders that it moves are not told apart"):
        return
    _adds_up(case, one, told, notes)
    _not_before(case, one, told, known, notes)


def _adds_up(case: Case, one: Settled, told: Branches, notes: Findings) -> None:
    """In each outcome so many orders have another colourway as its moves say, and no others."""
    for n, (outcome, branch) in enumerate(zip(one.outcomes.values(), told.branches, strict=False)):
        asked = Moves()
        for move in outcome.moves:
            asked[move.product, move.colourway, move.becomes, move.tier] += move.orders
        by_tier = {(product, colourway) for product, colourway, _, tier in asked if tier is not None}
        moved = Moves()
        for line in case.campaign.orders:
            for product, counted_on, becomes in _moved(one, line, n):
                tier = line.tier if (product, counted_on) in by_tier else None
                moved[product, counted_on, becomes, tier] += line.count
        notes.expect(asked == moved, f"`{branch.words}`: orders are not moved as the campaign says")
        notes.expect(
            len(branch.moves) == len(outcome.moves),
            f"`{branch.words}` moves orders {len(outcome.moves)} times, {len(branch.moves)} are said",
        )


def _moved(one: Settled, line: OrderLine, outcome: int) -> set[tuple[str, str, str]]:
    """(product, colourway counted on, what it becomes) of orders of a line that an outcome moves."""
    assert one.between is not None
    open_ = one.between.colourways
    return {
        (product, ways[0], ways[outcome])
        for units in (line.units, line.extra_units)
        for product, chosen in units.items()
        for colourway in chosen
        if (ways := open_.get(product, {}).get(colourway)) is not None and ways[outcome] != ways[0]
    }


def _not_before(case: Case, one: Settled, told: Branches, known: datetime, notes: Findings) -> None:
    assert one.between is not None
    for branch in told.branches:
        for run in branch.runs:
            open_ = [melt for melt in run.melts if melt.rpartition("/")[2] in one.between.colours]
            notes.expect(
                not open_ or run.begin >= known,
                f"`{branch.words}`: {run.tool} in {' + '.join(run.melts)} begins on {run.begin:%d %b %H:%M}, before it "
                "is known which colour that is",
            )
        begun = {batch.batch: batch.begin for batch in branch.batches}
        for batch in case.plan.batches:
            open_units = [
                colourway
                for product, of in batch.contents.items()
                for colourway in of
                if colourway in one.between.colourways.get(product, {})
            ]
            notes.expect(
                not open_units or begun.get(batch.id, known) >= known,
                f"`{branch.words}`: {batch.id} holds {', '.join(open_units)} and is begun before it is known which "
                "colourway that is",
            )
