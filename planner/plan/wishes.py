"""What a plan makes of the maker's wishes: which are kept, in words, and what each costs (RULES.md, Y)."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import NamedTuple

from planner.campaign import Campaign
from planner.campaign.wishes import Wish, WishedRuns
from planner.demand.weight_orders import with_price_breaks
from planner.plan.document import Run, RunPlan, WishKept
from planner.plan.made_by import as_made
from planner.schedule.encode import Names
from planner.schedule.encode.wishes import end_of, runs_of
from planner.wording import short_day, short_moment

NOT_IN_THIS_ORDER = "this order of work does not keep it"


class WishCost(NamedTuple):
    """What a plan costs more than the plan found without a wish: if all goes well, and on average (None: not known)."""

    costs: float
    on_average: float | None = None


def wishes_kept(names: Names, runs: Sequence[Run], costs: Mapping[int, WishCost]) -> list[WishKept]:
    """A line for each wish of the campaign, in its order."""
    found = []
    for n, wish in enumerate(names.campaign.wishes):
        refused = names.refused.get(n)
        kept = holds(names, wish, runs)
        idle = not _anything(names, wish)
        cost = costs.get(n) if kept and not idle else None
        found.append(
            WishKept(
                wish=n,
                kind=wish.kind,
                words=words(wish),
                kept=kept,
                nothing_to_do=idle,
                rule=refused.rule if refused and not kept else "",
                because="" if kept else refused.because if refused else NOT_IN_THIS_ORDER,
                costs=cost.costs if cost else None,
                costs_on_average=cost.on_average if cost else None,
            )
        )
    return found


def as_kept(campaign: Campaign, plan: RunPlan) -> Campaign:
    """The campaign with the wishes that a plan of it keeps and what each of several tools makes in it, at the prices of
    its orders, for whoever looks at what becomes of that plan."""
    campaign = with_price_breaks(as_made(campaign, plan))
    refused = {line.wish for line in plan.wishes if not line.kept}
    if not refused:
        return campaign
    kept = [wish for n, wish in enumerate(campaign.wishes) if n not in refused]
    return campaign.model_copy(update={"wishes": kept})


def broken(names: Names, runs: Sequence[Run]) -> list[int]:
    """The wishes that these runs do not keep, those refused left out."""
    return [
        n for n, wish in enumerate(names.campaign.wishes) if n not in names.refused and not holds(names, wish, runs)
    ]


def begins(run: Run) -> datetime:
    """When a run takes its press."""
    return run.changeover.start if run.changeover else run.stretches[0].start


def holds(names: Names, wish: Wish, runs: Sequence[Run]) -> bool:
    """Whether runs keep a wish; it is kept where there is nothing of what it names."""
    second = names.clock.seconds
    mine = named(runs, wish.runs) if wish.runs else []
    if wish.kind == "press":
        return all(run.press == wish.press for run in mine)
    if wish.not_before is not None:
        return all(second(begins(run)) >= second(wish.not_before) for run in mine)
    if wish.done_by is not None:
        return all(second(run.end) <= second(end_of(wish.done_by)) for run in mine)
    if wish.then is not None:
        done = max((second(run.end) for run in mine), default=0)
        return all(second(begins(run)) >= done for run in named(runs, wish.then) if run not in mine)
    if wish.first_colour is not None:
        return all(_first(mine, wish.first_colour) for mine in _by_press(runs, wish.press))
    if wish.together:
        return _together(runs, wish.together)
    assert wish.free_from is not None
    start, end = second(wish.free_from), second(end_of(wish.free_until or wish.free_from))
    return not any(
        second(a) < end and second(b) > start for run in runs if run.press == wish.press for a, b in _spans(run)
    )


def words(wish: Wish) -> str:
    """The wish as a person says it."""
    if wish.together:
        return f"{', '.join(map(_said, wish.together[:-1]))} and {_said(wish.together[-1])} together on one press"
    if wish.first_colour is not None:
        return f"{wish.first_colour} first on {f'press {wish.press}' if wish.press else 'each press'}"
    if wish.runs is None:
        assert wish.free_from is not None
        until = f" to {_day(wish.free_until)}" if wish.free_until else ""
        return f"press {wish.press} free {'from ' if until else 'on '}{_day(wish.free_from)}{until}"
    mine = _said(wish.runs)
    if wish.press is not None:
        return f"{mine} on press {wish.press}"
    if wish.not_before is not None:
        return f"{mine} not before {_day(wish.not_before)}"
    if wish.done_by is not None:
        return f"{mine} done by {_day(wish.done_by)}"
    assert wish.then is not None
    return f"{mine} before {_said(wish.then)}"


def _said(wished: WishedRuns) -> str:
    return f"{wished.tool} in {' + '.join(wished.colours)}" if wished.colours else wished.tool


def _day(at: date | datetime) -> str:
    return short_moment(at) if isinstance(at, datetime) else short_day(at)


def _anything(names: Names, wish: Wish) -> bool:
    """Whether anything of what a wish names is moulded at all."""
    if wish.kind == "press free":
        return True
    if wish.first_colour is not None:
        return any(wish.first_colour in run.colours for run in names.runs)
    named = [*([wish.runs] if wish.runs else []), *([wish.then] if wish.then else []), *wish.together]
    return all(runs_of(one, names.runs) for one in named)


def named(runs: Sequence[Run], wished: WishedRuns) -> list[Run]:
    """The runs that a wish names."""
    return [run for run in runs if run.tool == wished.tool and wished.colours in ([], colours_of(run))]


def colours_of(run: Run) -> list[str]:
    """A run's colours, one per barrel."""
    return [melt.rpartition("/")[2] for melt in run.melts]


def _by_press(runs: Sequence[Run], press: str | None) -> list[list[Run]]:
    presses = sorted({run.press for run in runs if press in (None, run.press)})
    return [sorted((run for run in runs if run.press == name), key=begins) for name in presses]


def _first(runs: Sequence[Run], colour: str) -> bool:
    has = [colour in colours_of(run) for run in runs]
    return has == sorted(has, reverse=True)


def _together(runs: Sequence[Run], wished: Sequence[WishedRuns]) -> bool:
    mine = [run for one in wished for run in named(runs, one)]
    for on_press in _by_press(runs, None):
        has = [run in mine for run in on_press]
        if any(has):
            last = len(has) - has[::-1].index(True)
            return all(has[has.index(True) : last]) and sum(has) == len({run.id for run in mine})
    return True


def _spans(run: Run) -> list[tuple[datetime, datetime]]:
    change = [(run.changeover.start, run.changeover.end)] if run.changeover else []
    return [*change, *((s.start, s.end) for s in run.stretches)]
