"""Resins that must not follow each other in a barrel: whether the tools can be shared out so that none has to."""

from collections.abc import Callable
from itertools import combinations

from planner.campaign.document import Campaign
from planner.campaign.fit import fitting
from planner.campaign.pointers import pointer
from planner.errors import Problem

Why = Callable[[str, str], str | None]
"""(resin, resin) -> why they must be kept apart, in words; None where they need not."""

MOST_TRIED = 20_000
"""Ways of sharing out tools tried before the question is left to the planner."""


def problems(
    campaign: Campaign, resins: dict[str, list[str]], why: Why, remedy: str, past: bool = True
) -> list[Problem]:
    """Share the tools out to presses so that no barrel ever sees both resins of a pair; report where that fails.

    resins: of each tool, by barrel. remedy: what else may be done than to keep them apart. past: whether what a barrel
    has held before counts, or only what it holds.
    """
    found = []
    free: dict[str, list[str]] = {}
    for tool, mine in resins.items():
        fits = fitting(campaign, tool)
        clean = [press for press in fits if _held(campaign, mine, press, why, past) is None]
        if fits and not clean:
            for press in fits:
                k, held, because = _held(campaign, mine, press, why, past) or (0, "", "")
                field, words = _said_at(campaign, press, k, held)
                found.append(
                    Problem(
                        field,
                        f"tool `{tool}` moulds `{mine[k]}` and fits only where {words} `{held}`: "
                        f"barrel {k + 1} of press `{press}`, and {because}",
                        f"use a press whose barrel never held it: {remedy}",
                    )
                )
        elif clean:
            free[tool] = clean
    clashing = _clashes({tool: resins[tool] for tool in free}, why)
    if clashing and not _can_share(free, clashing):
        found.append(_no_way(free, clashing, remedy))
    return found


def _said_at(campaign: Campaign, press: str, barrel: int, resin: str) -> tuple[str, str]:
    """The field that says that a resin is or was in a barrel (from 0), and how it got there."""
    machine = campaign.presses[press]
    here = machine.barrels[barrel]
    if (here.holds or "").rpartition("/")[0] == resin:
        return pointer("presses", press, "barrels", barrel, "holds"), "the barrel holds"
    if resin in here.has_held:
        return pointer("presses", press, "barrels", barrel, "has_held"), "the barrel has held"
    n = next(n for n, others in enumerate(machine.others) if resin in others.resins)
    return pointer("presses", press, "others", n), "others put"


def _held(campaign: Campaign, mine: list[str], press: str, why: Why, past: bool) -> tuple[int, str, str] | None:
    """(barrel from 0, resin it holds or has held, why) where that speaks against the tool's resin."""
    for k, (resin, barrel) in enumerate(zip(mine, campaign.presses[press].barrels, strict=False)):
        others = campaign.presses[press].others
        left = [one.leaves[k].rpartition("/")[0] for one in others if k < len(one.leaves)]
        holds = [barrel.holds.rpartition("/")[0]] if barrel.holds else []
        ever = [*barrel.resins_in_it, *(name for one in others for name in one.resins)]
        for held in ever if past else [*holds, *left]:
            because = why(resin, held)
            if because:
                return k, held, because
    return None


def _clashes(resins: dict[str, list[str]], why: Why) -> dict[tuple[str, str], tuple[str, str, str]]:
    """Pairs of tools that must not share a press: (tool, tool) -> (resin, resin, why)."""
    found = {}
    for one, other in combinations(sorted(resins), 2):
        for a, b in zip(resins[one], resins[other], strict=False):
            because = why(a, b)
            if because:
                found[one, other] = (a, b, because)
    return found


def _can_share(free: dict[str, list[str]], clashing: dict[tuple[str, str], tuple[str, str, str]]) -> bool:
    """Whether each tool concerned can have a press of its choice without a clash. Gives up in favour of yes."""
    tools = sorted({tool for pair in clashing for tool in pair}, key=lambda t: len(free[t]))
    against = {t: {b if a == t else a for a, b in clashing if t in (a, b)} for t in tools}
    chosen: dict[str, str] = {}
    tried = 0

    def place(n: int) -> bool:
        nonlocal tried
        tried += 1
        if n == len(tools) or tried > MOST_TRIED:
            return True
        tool = tools[n]
        for press in free[tool]:
            if all(chosen.get(other) != press for other in against[tool]):
                chosen[tool] = press
                if place(n + 1):
                    return True
                del chosen[tool]
        return False

    return place(0)


def _no_way(free: dict[str, list[str]], clashing: dict[tuple[str, str], tuple[str, str, str]], remedy: str) -> Problem:
    """The clearest culprit: a pair that alone has only one press, else the first pair."""
    alone = [pair for pair in clashing if free[pair[0]] == free[pair[1]] and len(free[pair[0]]) == 1]
    one, other = (alone or sorted(clashing))[0]
    a, b, because = clashing[one, other]
    where = f"press `{free[one][0]}`, the only one both fit" if alone else "the presses they fit"
    return Problem(
        pointer("tools", other, "presses"),
        f"tools `{one}` (`{a}`) and `{other}` (`{b}`) would have to share a barrel on {where}, and {because}",
        f"give one of them a press of its own: {remedy}",
    )
