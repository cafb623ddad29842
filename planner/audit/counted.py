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
    need, tool = case.needs.get(item), case.tool_of(item[0])
    if need is None or tool is None or not need.to_mould or not open_cavities(tool, item[0]):
        return 0
    cavities = open_cavities(tool, item[0])
    asked = case.shots_alone(item)
    done = sum(shots_done(work, second) for work in case.by_item.get(item, []))
    return min(done * need.to_mould // asked, done * cavities)
