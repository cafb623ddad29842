"""How many parts and bought-in pieces go into moulds over all runs (RULES.md, O1): of what is planned, and at the least
where several tools make what is moulded over others, whoever of them makes how many (D6.1)."""

from collections import Counter
from collections.abc import Iterable
from typing import NamedTuple, TypeVar

from planner.campaign import Campaign
from planner.campaign.products import MouldedOver
from planner.demand.at_the_shot import parts_in_a_shot, pieces_in_a_shot
from planner.demand.items import Item, RunDemand, pieces_at_shots, run_demands, sharings, taken_at_shots
from planner.demand.shared_parts import Sharing, tools_together

Good = TypeVar("Good")


class IntoMoulds(NamedTuple):
    """parts, pieces: how many go into moulds. more: pieces of which more may go in, if others make more of it."""

    parts: Counter[Item]
    pieces: Counter[str]
    more: frozenset[str] = frozenset()


def into_moulds(campaign: Campaign, runs: Iterable[RunDemand]) -> IntoMoulds:
    """What the shots of these runs take."""
    return IntoMoulds(taken_at_shots(campaign), pieces_at_shots(campaign, runs))


def depends_on_shares(campaign: Campaign) -> bool:
    """Whether what goes into moulds depends on which of several tools makes how many."""
    parts = {part for tools in tools_together(campaign) for tool in tools for part in campaign.tools[tool].cavities}
    return any(campaign.parts[part].moulded_over is not None for part in parts)


def at_the_least(campaign: Campaign) -> IntoMoulds:
    """What goes into moulds whoever makes how many: good parts are moulded ones at the most, so that of several tools
    each good part needed takes what goes into one."""
    together = {tool for tools in tools_together(campaign) for tool in tools}
    parts, pieces = Counter[Item](), Counter[str]()
    for _ in campaign.parts:  # what is moulded over first settles what goes into it, and so on
        found, pieces = Counter[Item](), Counter[str]()
        for run in run_demands(campaign, parts):
            if run.tool not in together:
                found += _times(parts_in_a_shot(campaign, run.tool), run.shots)
                pieces += _times(pieces_in_a_shot(campaign, run.tool), run.shots)
        for sharing in sharings(campaign, parts):
            for over, good in _moulded_over(campaign, sharing):
                found += Counter({(one.part, tuple(one.colours)): one.number * good for one in over.parts})
                pieces += _times(Counter(over.pieces), good)
        if found == parts:
            break
        parts = found
    every = {piece for part in campaign.parts.values() if part.moulded_over for piece in part.moulded_over.pieces}
    return IntoMoulds(parts, pieces, frozenset(every))


def _moulded_over(campaign: Campaign, sharing: Sharing) -> list[tuple[MouldedOver, int]]:
    """What goes into each part that a group of tools makes over others, and the good ones needed of it."""
    found = []
    for part, good in sharing.needed.items():
        over = campaign.parts[part].moulded_over
        if over is not None:
            found.append((over, good))
    return found


def _times(each: Counter[Good], shots: int) -> Counter[Good]:
    return Counter({good: number * shots for good, number in each.items()})
