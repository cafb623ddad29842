"""Wishes of the maker as arrays of an Instance (RULES.md, Y)."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from itertools import product

import numpy as np

from planner.calendars.clock import Clock
from planner.calendars.stretches import Stretch
from planner.campaign.wishes import Wish, WishedRuns
from planner.demand.items import RunDemand
from planner.schedule.instance import NEVER, Instance

BROKEN, BROKEN_SHARE = 1e7, 100.0
"""Objective for each thing that breaks a wish, and the least of it as a multiple of what every plan costs: more than
any plan that keeps the wish could cost."""


def runs_of(wished: WishedRuns, runs: Sequence[RunDemand]) -> list[int]:
    """The run demands that a wish names; none where nothing of it is to be moulded."""
    colours = tuple(wished.colours)
    return [n for n, run in enumerate(runs) if run.tool == wished.tool and colours in ((), run.colours)]


def end_of(moment: date | datetime) -> date | datetime:
    """The moment said, or the end of the day said."""
    return moment if isinstance(moment, datetime) else moment + timedelta(days=1)


def free_spans(wishes: Iterable[Wish], press: str, clock: Clock) -> list[tuple[int, int]]:
    """When a press is to be kept free, in seconds."""
    spans = []
    for wish in wishes:
        if wish.kind == "press free" and wish.press == press and wish.free_from is not None:
            spans.append((clock.seconds(wish.free_from), clock.seconds(end_of(wish.free_until or wish.free_from))))
    return spans


def kept_free(stretches: Iterable[Stretch], spans: Iterable[tuple[int, int]]) -> list[Stretch]:
    """What is left of open stretches outside these spans."""
    left = list(stretches)
    for start, end in spans:
        left = [
            Stretch(a, b, one.people)
            for one in left
            for a, b in ((one.start, min(one.end, start)), (max(one.start, end), one.end))
            if b > a
        ]
    return left


def keeping(inst: Instance) -> Instance:
    """The instance with room for runs that wait for moments and for each other; as it is where it has that."""
    if inst.wishing:
        return inst
    presses, R = inst.fits.shape
    return inst._replace(
        wishing=1,
        wish_cost=max(BROKEN, BROKEN_SHARE * inst.fixed_cost),
        run_from=np.zeros(R, dtype=np.int64),
        run_until=np.full(R, NEVER, dtype=np.int64),
        run_after=np.zeros((R, R), dtype=np.bool_),
        run_ahead=np.zeros((presses, R, R), dtype=np.bool_),
        together=np.zeros((0, R), dtype=np.bool_),
        after_rest=np.zeros((R, R), dtype=np.int64),
    )


def with_wishes(
    inst: Instance, wishes: Sequence[Wish], presses: Sequence[str], runs: Sequence[RunDemand], clock: Clock
) -> Instance:
    """The instance that keeps these wishes; press hours are cut already."""
    R = len(runs)
    fits = inst.fits.copy()
    begin, end = np.zeros(R, dtype=np.int64), np.full(R, NEVER, dtype=np.int64)
    after, ahead = np.zeros((R, R), dtype=np.bool_), np.zeros((len(presses), R, R), dtype=np.bool_)
    together = []
    asked = False
    for wish in wishes:
        mine = runs_of(wish.runs, runs) if wish.runs else []
        if wish.kind == "press":
            fits[np.ix_([p for p, name in enumerate(presses) if name != wish.press], mine)] = False
            continue
        if wish.kind == "press free":
            continue
        asked = True
        if wish.not_before is not None:
            begin[mine] = np.maximum(begin[mine], clock.seconds(wish.not_before))
        elif wish.done_by is not None:
            end[mine] = np.minimum(end[mine], clock.seconds(end_of(wish.done_by)))
        elif wish.then is not None:
            for one, other in product(runs_of(wish.then, runs), mine):
                after[one, other] = one != other
        elif wish.first_colour is not None:
            has = np.array([wish.first_colour in run.colours for run in runs], dtype=np.bool_)
            here = [p for p, name in enumerate(presses) if wish.press in (None, name)]
            ahead[here] |= has[:, None] & ~has[None, :]
        else:
            group = np.zeros(R, dtype=np.bool_)
            for wished in wish.together:
                group[runs_of(wished, runs)] = True
            together.append(group)
    inst = inst._replace(fits=fits)
    if not asked:
        return inst
    return keeping(inst)._replace(
        run_from=begin,
        run_until=end,
        run_after=after,
        run_ahead=ahead,
        together=np.array(together, dtype=np.bool_).reshape(len(together), R),
    )
