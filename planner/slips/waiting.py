"""Whom a change makes wait, and how long: every parcel against the one that left in its place before."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date

from planner.plan.document import RunPlan


@dataclass(frozen=True)
class Waiting:
    """people: orders that leave later than they did. longest: of them, days. days: of all of them together."""

    people: int
    longest: int
    days: int


def waiting(before: RunPlan, after: RunPlan) -> Waiting:
    """The k-th parcel of each order line to leave, against the k-th that left before; lines that are gone do not wait.

    An order in several parcels waits for its last one.
    """
    was, now = _leaves(before), _leaves(after)
    late = [
        ((new - old).days, count)
        for line in was.keys() & now.keys()
        for old, new, count in _pairs(was[line], now[line])
        if new > old
    ]
    return Waiting(
        people=sum(count for _, count in late),
        longest=max((days for days, _ in late), default=0),
        days=sum(days * count for days, count in late),
    )


def _leaves(plan: RunPlan) -> dict[int, list[tuple[date, int]]]:
    """Order line -> (day, orders) as their last parcels leave, earliest first."""
    day = {dispatch.id: dispatch.at.date() for dispatch in plan.dispatches}
    found: dict[tuple[int, int], list[tuple[date, int]]] = defaultdict(list)
    for batch in plan.batches:
        for line in batch.lines:
            found[line.line, batch.part].append((day[batch.dispatch], line.count))
    whole: dict[int, list[tuple[date, int]]] = {}
    for (order, _), leaving in sorted(found.items()):
        leaving.sort()
        whole[order] = _later(whole[order], leaving) if order in whole else leaving
    return whole


def _later(one: list[tuple[date, int]], other: list[tuple[date, int]]) -> list[tuple[date, int]]:
    return [(max(a, b), count) for a, b, count in _pairs(one, other)]


def _pairs(one: list[tuple[date, int]], other: list[tuple[date, int]]) -> list[tuple[date, date, int]]:
    """Two lists laid beside each other, cut where either changes its day."""
    pairs, a, b = [], list(reversed(one)), list(reversed(other))
    while a and b:
        (day, count), (later, among) = a.pop(), b.pop()
        taken = min(count, among)
        pairs.append((day, later, taken))
        if count > taken:
            a.append((day, count - taken))
        if among > taken:
            b.append((later, among - taken))
    return pairs
