"""Wishes of the maker, read anew from the two documents (RULES.md, Y): what holds, and when runs waited for one."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta

from planner.audit.case import Case, Work
from planner.campaign.wishes import Wish, WishedRuns


def last_second(case: Case, moment: date | datetime) -> int:
    """A moment, or the end of a day."""
    if isinstance(moment, datetime):
        return case.clock.at(moment)
    return case.clock.at(moment + timedelta(days=1))


def holds(case: Case, wish: Wish) -> bool:
    """Whether the plan's runs keep a wish."""
    kind = wish.kind
    if kind == "press free":
        assert wish.free_from is not None
        begin, end = case.clock.at(wish.free_from), last_second(case, wish.free_until or wish.free_from)
        on_it = case.by_press.get(wish.press or "", [])
        return all(b <= begin or a >= end for work in on_it for a, b in _at_work(case, work))
    if kind == "colour first":
        presses = [wish.press] if wish.press else [*case.by_press]
        return all(_leads(case.by_press.get(press, []), wish.first_colour or "") for press in presses)
    if kind == "together":
        return _side_by_side(case, wish.together)
    assert wish.runs is not None
    mine = _meant(case, wish.runs)
    if kind == "press":
        return {work.run.press for work in mine} <= {wish.press}
    if wish.not_before is not None:
        return min((work.begin for work in mine), default=case.clock.at(wish.not_before)) >= case.clock.at(
            wish.not_before
        )
    if wish.done_by is not None:
        return max((work.end for work in mine), default=0) <= last_second(case, wish.done_by)
    assert wish.then is not None
    later = [work for work in _meant(case, wish.then) if work not in mine]
    return not later or not mine or max(work.end for work in mine) <= min(work.begin for work in later)


def wished_moments(case: Case, run: str) -> set[int]:
    """Seconds at which a wish lets a run begin: a moment it waits for, or the end of a run that goes before it."""
    found: set[int] = set()
    for wish in case.campaign.wishes:
        if wish.runs is None:
            continue
        if wish.not_before is not None and any(work.run.id == run for work in _meant(case, wish.runs)):
            found.add(case.clock.at(wish.not_before))
        if wish.then is not None and any(work.run.id == run for work in _meant(case, wish.then)):
            found |= {work.end for work in _meant(case, wish.runs)}
    return found


def anything_of(case: Case, wish: Wish) -> bool:
    """Whether all that a wish names is moulded."""
    if wish.first_colour is not None:
        return any(wish.first_colour in work.colours for work in case.works)
    return all(_meant(case, one) for one in (wish.runs, wish.then, *wish.together) if one is not None)


def _meant(case: Case, wished: WishedRuns) -> list[Work]:
    return [
        work
        for work in case.works
        if work.run.tool == wished.tool and (not wished.colours or tuple(wished.colours) == work.colours)
    ]


def _leads(works: Iterable[Work], colour: str) -> bool:
    """Whether no run without the colour begins before one with it."""
    others = False
    for work in works:
        if colour in work.colours:
            if others:
                return False
        else:
            others = True
    return True


def _side_by_side(case: Case, wished: Iterable[WishedRuns]) -> bool:
    mine = {work.run.id for one in wished for work in _meant(case, one)}
    presses = [works for works in case.by_press.values() if any(work.run.id in mine for work in works)]
    if len(presses) > 1:
        return False
    for works in presses:
        places = [n for n, work in enumerate(works) if work.run.id in mine]
        if places[-1] - places[0] + 1 != len(places):
            return False
    return True


def _at_work(case: Case, work: Work) -> list[tuple[int, int]]:
    """Changeover and stretches of a run."""
    change = work.run.changeover
    spans = [(change.start, change.end)] if change else []
    spans += [(stretch.start, stretch.end) for stretch in work.run.stretches]
    return [(case.clock.second(a), case.clock.second(b)) for a, b in spans]
