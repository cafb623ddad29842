"""Wishes that contradict the campaign or each other, so that no plan could keep them (RULES.md, Y)."""

from collections.abc import Iterator

from planner.campaign.document import Campaign
from planner.campaign.fit import misfits
from planner.campaign.pointers import pointer
from planner.campaign.wishes import Wish, WishedRuns
from planner.errors import Problem

TAKE_BACK = "name another press, or take the wish back"


def check(campaign: Campaign) -> list[Problem]:
    """Each wish against the campaign, then against those before it."""
    problems: list[Problem] = []
    for n, wish in enumerate(campaign.wishes):
        problems += _by_itself(campaign, n, wish)
    return problems


def _by_itself(campaign: Campaign, n: int, wish: Wish) -> Iterator[Problem]:
    runs, press = wish.runs, wish.press
    if runs is not None and press is not None and runs.tool in campaign.tools and press in campaign.presses:
        if against := misfits(campaign, runs.tool, press):
            text = f"tool `{runs.tool}` is wished on press `{press}`, which does not take it (A1): {'; '.join(against)}"
            yield Problem(pointer("wishes", n, "press"), text, TAKE_BACK)
        for name, other in campaign.presses.items():
            for begun in other.begins_with:
                if name != press and begun.tool == runs.tool and runs.colours in ([], begun.colours):
                    yield Problem(
                        pointer("wishes", n, "press"),
                        f"tool `{runs.tool}` is wished on press `{press}`, and press `{name}` begins with a run of it "
                        "(R17)",
                        "take the run out of `begins_with`, or take the wish back",
                    )
        for m, before in enumerate(campaign.wishes[:n]):
            same = before.kind == "press" and before.press != press and before.runs is not None
            if same and before.runs is not None and _meet(before.runs, runs):
                yield Problem(
                    pointer("wishes", n, "press"),
                    f"tool `{runs.tool}` is wished on press `{press}`, and in wish {m + 1} on press `{before.press}`",
                    "keep one of the two",
                )
    if runs is not None and wish.then is not None and _meet(runs, wish.then):
        yield Problem(
            pointer("wishes", n, "then"),
            f"`{runs.tool}` is wished before itself",
            "name other runs in `then`, e.g. with `colours`",
        )
    together = [one for one in wish.together if one.tool in campaign.tools]
    takers = [{p for p in campaign.presses if not misfits(campaign, one.tool, p)} for one in together]
    if takers and not set.intersection(*takers):
        yield Problem(
            pointer("wishes", n, "together"),
            f"no press takes all of {', '.join(f'`{one.tool}`' for one in together)} (A1)",
            "take one of them out, or take the wish back",
        )
    if wish.free_from is not None and wish.free_until is not None and str(wish.free_until) < str(wish.free_from):
        yield Problem(
            pointer("wishes", n, "free_until"), "ends before it begins", "write a day or moment after `free_from`"
        )


def _meet(one: WishedRuns, other: WishedRuns) -> bool:
    """Whether some run is meant by both."""
    return one.tool == other.tool and (not one.colours or not other.colours or one.colours == other.colours)
