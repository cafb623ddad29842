"""Who makes how many, where several tools make a part (RULES.md, D6): sought by planning with one way to share after
the other, each for a moment, before the plan itself is sought.

Few ways are all looked at. Where there are many, from the best of some that are likely good the share of one tool is
made larger and smaller, by less and less. What goes into moulds depends on who makes what is moulded over it: there the
shares of the one are settled before those of the other.
"""

from itertools import permutations, product
from math import inf, prod

from planner.campaign import Campaign
from planner.campaign.planning import MadeBy
from planner.control import Control
from planner.demand.at_the_shot import made_before
from planner.demand.into_moulds import depends_on_shares
from planner.demand.items import sharings
from planner.demand.shared_parts import Sharing, Shots, told
from planner.planning.quiet import Quiet
from planner.schedule.encode import compile_campaign
from planner.schedule.found import Found
from planner.schedule.infeasible import NoPlan
from planner.schedule.search import Budget, search

ALL_WAYS = 64
"""Ways to share up to which every one is looked at."""

MOST_LOOKS, LOOKS_A_GROUP = 24, 16
"""Ways looked at, and as many more for each group of tools and set of colours."""

LOOK_ROUNDS = 2
"""Search rounds of one look."""

STEPS = (0.5, 0.25, 0.125, 0.0625, 0.03125, 0.015625)
"""By what share of what a tool would make alone its shots are made more or fewer."""

OF_THE_TIME = 0.4
"""Share of a budget of time that looks may take."""

Way = tuple[tuple[tuple[str, int], ...], ...]
"""Shots of each tool, group by group."""


def shared_out(campaign: Campaign, control: Control) -> Campaign:
    """The campaign, saying who makes how many where several tools make a part and it does not say so itself."""
    found = sharings(campaign)
    if not found or campaign.planning.made_by:
        return campaign
    looks = _Looks(campaign, found, control)
    every = _every_way(campaign, found)
    start = [told(sharing) for sharing in found]
    looks.at(start)
    if every is not None:
        for way in every:
            looks.at(way)
    else:
        looks.at([sharing.completed(_evenly(sharing), _by_pace(sharing)) for sharing in found])
        for first in {tool: None for sharing in found for tool in sharing.tools}:
            looks.at([sharing.completed({}, [first] if first in sharing.tools else ()) for sharing in found])
        for step in STEPS:
            looks.around(step)
    campaign = _saying(campaign, found, looks.best or start)
    return _as_it_came_out(campaign) if depends_on_shares(campaign) else campaign


def looked_at(campaign: Campaign, control: Control, bound_effort: float = 0.0) -> Found | None:
    """What a short search ends with; None where it finds no plan. bound_effort: see Budget."""
    inst, _ = compile_campaign(campaign)
    try:
        return search(inst, Budget(LOOK_ROUNDS, campaign.planning.seed, 0.0, bound_effort), Quiet(control))
    except NoPlan:
        return None


class _Looks:
    """Ways looked at, the best of them, and whether there is time for more."""

    def __init__(self, campaign: Campaign, found: list[Sharing], control: Control) -> None:
        self._campaign, self._found, self._control = campaign, found, control
        self._known: set[Way] = set()
        left = control.seconds_left() if campaign.planning.rounds is None else None
        self._until = -inf if left is None else left * (1 - OF_THE_TIME)
        self.best: list[Shots] | None = None
        self._value = inf
        self._number = 0

    def _over(self) -> bool:
        left = self._control.seconds_left()
        late = self._until > -inf and left is not None and left <= self._until
        return self._control.should_stop() or late

    def at(self, way: list[Shots]) -> bool:
        """Look at one way; whether it is the best so far."""
        key = tuple(tuple(sorted(shots.items())) for shots in way)
        if key in self._known or (self.best is not None and self._over()):
            return False
        self._known.add(key)
        self._number += 1
        look = looked_at(_saying(self._campaign, self._found, way), self._control)
        if look is None or (self.best is not None and look.objective >= self._value - 1e-9 * abs(self._value)):
            return False
        self.best, self._value = [dict(shots) for shots in way], look.objective
        return True

    def around(self, step: float) -> None:
        """More and fewer shots for each tool, another of its group making up for it, as long as that helps."""
        better = True
        while better and self.best is not None:
            better = False
            for n, sharing in enumerate(self._found):
                for one, other in permutations(sharing.tools, 2):
                    if self._number >= MOST_LOOKS + LOOKS_A_GROUP * len(self._found) or self._over():
                        return
                    way = [dict(shots) for shots in self.best]
                    given = way[n]
                    more = max(1, round(step * sharing.alone(one)))
                    if not sharing.makes(one) or given[one] >= sharing.alone(one):
                        continue
                    way[n] = sharing.completed({**given, one: given[one] + more, other: 0}, [other])
                    better = self.at(way) or better


def _every_way(campaign: Campaign, found: list[Sharing]) -> list[list[Shots]] | None:
    """Every way that each group may share its work in; None where there are too many."""
    ways: list[dict[int, Shots]] = [{}]
    for n in _over_first(campaign, found):
        more: list[dict[int, Shots]] = []
        for way in ways:
            mine = _ways_of(_given(campaign, found, way, n))
            if mine is None or len(more) + len(mine) > ALL_WAYS:
                return None
            more += [{**way, n: shots} for shots in mine]
        ways = more
    return [[way[n] for n in range(len(found))] for way in ways]


def _over_first(campaign: Campaign, found: list[Sharing]) -> list[int]:
    """Groups by index, those that mould over what others make before these."""
    under = [set().union(*(made_before(campaign, tool) for tool in sharing.tools)) for sharing in found]
    left, order = list(range(len(found))), list[int]()
    while left:
        first = [n for n in left if not any(under[m] & set(found[n].tools) for m in left)]
        order += first or left
        left = [n for n in left if n not in order]
    return order


def _given(campaign: Campaign, found: list[Sharing], way: dict[int, Shots], n: int) -> Sharing:
    """What a group has to make where others share their work so."""
    mine = found[n]
    settled = [(found[m], shots) for m, shots in way.items()]
    if not any(made_before(campaign, tool) & set(mine.tools) for one, _ in settled for tool in one.tools):
        return mine
    now = sharings(_saying(campaign, [one for one, _ in settled], [shots for _, shots in settled]))
    same = (one for one in now if (one.tools, one.colours) == (mine.tools, mine.colours))
    return next(same, Sharing(campaign, mine.tools, mine.colours, {}))


def _ways_of(sharing: Sharing) -> list[Shots] | None:
    """Every way to share the work of one group in; None where there are too many."""
    tools = [tool for tool in sharing.tools if sharing.makes(tool)]
    if not tools:
        return [dict.fromkeys(sharing.tools, 0)]
    if prod(sharing.alone(tool) + 1 for tool in tools[:-1]) > ALL_WAYS:
        return None
    found: dict[tuple[tuple[str, int], ...], Shots] = {}
    for given in product(*(range(sharing.alone(tool) + 1) for tool in tools[:-1])):
        shots = sharing.completed(dict(zip(tools, given, strict=False)), [tools[-1]])
        found[tuple(sorted(shots.items()))] = shots
    return list(found.values())


def _as_it_came_out(campaign: Campaign) -> Campaign:
    """The campaign saying what its tools make of what it says: what goes into moulds is counted once all else is."""
    found = sharings(campaign)
    return _saying(campaign, found, [told(sharing) for sharing in found])


def _by_pace(sharing: Sharing) -> list[str]:
    """Tools of a group, whoever would make the most in an hour first."""
    tools = sharing.campaign.tools
    return sorted(
        sharing.tools,
        key=lambda tool: (-sum(map(tools[tool].open_cavities, sharing.makes(tool))) / tools[tool].cycle_s, tool),
    )


def _evenly(sharing: Sharing) -> Shots:
    """Shots with which all tools of a group are done at about the same time."""
    tools = [tool for tool in sharing.tools if sharing.makes(tool)]
    alone = {tool: sharing.alone(tool) * sharing.campaign.tools[tool].cycle_s for tool in tools}
    together = 1 / sum(1 / seconds for seconds in alone.values())
    slowest = _by_pace(sharing)[0]
    return {tool: round(together / sharing.campaign.tools[tool].cycle_s) for tool in tools if tool != slowest}


def _saying(campaign: Campaign, found: list[Sharing], way: list[Shots]) -> Campaign:
    """The campaign with a way to share in its planning."""
    made_by = [
        MadeBy(tool=tool, colours=list(sharing.colours), shots=shots)
        for sharing, each in zip(found, way, strict=True)
        for tool, shots in sorted(each.items())
    ]
    return campaign.model_copy(update={"planning": campaign.planning.model_copy(update={"made_by": made_by})})
