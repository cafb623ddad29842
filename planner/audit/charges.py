"""What moulders charge beside the hour, and energy, added up anew from the two documents (RULES.md, M6)."""

from collections.abc import Callable, Iterator
from typing import NamedTuple

from planner.audit.case import Case, Work, open_cavities
from planner.audit.figures import seconds_of
from planner.audit.worked import staying_money
from planner.campaign.presses import Charges, Press
from planner.campaign.tools import Tool


class ChangeoverDone(NamedTuple):
    """What was done at a changeover that anything is charged for: anything purged, a tool mounted."""

    purges: bool
    mounts: bool


Price = Callable[[Charges, ChangeoverDone], float]
CHANGEOVER_LINES: dict[str, Price] = {
    "changeover charges": lambda asked, done: asked.changeover + asked.colour_change * done.purges,
}
"""Cost line -> money for a changeover, in a plan and in what is timed anew of it."""


def changeover_money(asked: Charges, done: ChangeoverDone) -> float:
    """Money for a changeover, all lines together."""
    return sum(price(asked, done) for price in CHANGEOVER_LINES.values())


def energy_rate(case: Case, work: Work) -> float:
    """Money for an hour of what the press draws."""
    return work.press.draws_kw * case.campaign.floor.price_per_kwh


def pieces_of_a_shot(tool: Tool, press: Press) -> float:
    """Money charged for the pieces of a shot."""
    prices = press.charges.a_piece if press.charges else {}
    return sum(open_cavities(tool, part) * price for part, price in prices.items() if part in tool.cavities)


def least_pieces(case: Case) -> float:
    """Money that all shots come to where each is moulded on whichever of its tool's presses charges least for it."""
    presses = case.campaign.presses
    return sum(
        work.run.shots
        * min(pieces_of_a_shot(work.tool, presses[name]) for name in work.tool.presses if name in presses)
        for work in case.works
    )


def charges(case: Case) -> dict[str, dict[str, float]]:
    """Press with a price list -> cost line -> money."""
    found = {}
    for name, press in case.campaign.presses.items():
        works = case.by_press.get(name, [])
        if press.charges is not None and works:
            found[name] = {
                **{line: sum(_paid(price, work) for work in works) for line, price in CHANGEOVER_LINES.items()},
                "shift charges": len(set(_shifts(case, name, press.charges, works))) * press.charges.shift,
                "piece prices": sum(work.run.shots * pieces_of_a_shot(work.tool, press) for work in works),
                "least a run": sum(max(0.0, press.charges.least_a_run - bill) for bill in _bills(case, works)),
            }
    return found


def _paid(price: Price, work: Work) -> float:
    asked, change = work.press.charges, work.run.changeover
    if asked is None or change is None:
        return 0.0
    return price(asked, ChangeoverDone(bool(change.purges), change.from_tool != work.run.tool))


def _bills(case: Case, works: list[Work]) -> Iterator[float]:
    """What each run comes to with those after it that need no changeover."""
    bill: float | None = None
    for work in works:
        assert work.press.charges is not None
        if work.run.changeover is not None and bill is not None:
            yield bill
            bill = None
        spans = [(stretch.start, stretch.end) for stretch in work.run.stretches]
        if work.run.changeover is not None:
            spans.append((work.run.changeover.start, work.run.changeover.end))
        hours = sum(case.clock.second(end) - case.clock.second(start) for start, end in spans) / 3600
        bill = (bill or 0.0) + hours * (work.press.rate_per_hour + energy_rate(case, work))
        bill += _paid(changeover_money, work) + work.run.shots * pieces_of_a_shot(work.tool, work.press)
        bill += staying_money(case, work)
    if bill is not None:
        yield bill


def _shifts(case: Case, press: str, asked: Charges, works: list[Work]) -> Iterator[tuple[int, int]]:
    """(opening, number of the shift) of all shifts in which anything is worked; counted from the opening, at the
    earliest from the campaign's start."""
    length = seconds_of(asked.shift_hours * 60)
    for work in works:
        spans = [(stretch.start, stretch.end) for stretch in work.run.stretches]
        if work.run.changeover is not None:
            spans.append((work.run.changeover.start, work.run.changeover.end))
        for start, end in spans:
            begin, until = case.clock.second(start), case.clock.second(end)
            opening = case.openings[press].around(begin)
            if opening is None:
                continue  # A4 says so
            opens = max(opening[0], case.start)
            for shift in range((until - opens + length - 1) // length):
                if opens + (shift + 1) * length > begin:
                    yield opens, shift
