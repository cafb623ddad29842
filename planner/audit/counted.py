"""Good parts the plan may count on at a moment: floor(n x needed / shots asked for) after the n-th shot of a demand."""

from planner.audit.case import Case, Work, open_cavities
from planner.audit.needs import Item
from planner.audit.shared import counts_with, is_shared, shots_with


def shots_done(work: Work, second: int) -> int:
    """Shots of the run whose last second is worked by that moment."""
    worked = sum(max(0, min(second, end) - begin) for begin, end in work.production)
    return min(work.run.shots, worked * work.shot.denominator // work.shot.numerator)


def counted_on(case: Case, item: Item, second: int) -> int:
    """Good parts of the item the plan may count on at that moment, stock not included."""
    return case.once(("counted on", item, second), lambda: _counted_on(case, item, second))


def counted_with(case: Case, item: Item, tool: str, second: int) -> int:
    """Good parts the plan may count on of what one of several tools makes of the item."""
    shots = shots_with(case, item)[tool]
    done = sum(shots_done(work, second) for work in case.by_item[item] if work.run.tool == tool)
    return done * counts_with(case, item)[tool] // shots


def _counted_on(case: Case, item: Item, second: int) -> int:
    if is_shared(case, item[0]):
        return sum(counted_with(case, item, tool, second) for tool in shots_with(case, item))
    to_mould, cavities = case.once(("made alone", item), lambda: _made_alone(case, item))
    if not to_mould:
        return 0
    done = sum(shots_done(work, second) for work in case.by_item.get(item, ()))
    return min(done * to_mould // case.shots_alone(item), done * cavities)


def _made_alone(case: Case, item: Item) -> tuple[int, int]:
    """Good parts to be moulded of an item that one tool makes, and how many a shot makes; 0 to mould: it makes none."""
    need, tool = case.needs.get(item), case.tool_of(item[0])
    cavities = open_cavities(tool, item[0]) if tool is not None else 0
    return (need.to_mould, cavities) if need is not None and cavities else (0, 0)
