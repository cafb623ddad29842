"""Parts that several tools make: which tools belong together, and who makes how many (RULES.md, D6)."""

from collections import Counter
from collections.abc import Iterable, Sequence

from planner.campaign import Campaign
from planner.campaign.fit import fitting
from planner.campaign.operators import enough_operators
from planner.demand.joint_confidence import chance_of_parts

Shots = dict[str, int]
"""Tool -> shots."""


def makers(campaign: Campaign) -> dict[str, list[str]]:
    """Part -> the tools that make it, sorted."""
    found: dict[str, list[str]] = {}
    for tool in sorted(campaign.tools):
        for part in campaign.tools[tool].cavities:
            found.setdefault(part, []).append(tool)
    return found


def able_makers(campaign: Campaign) -> dict[str, list[str]]:
    """Part -> the tools that can make it: all that have cavities for it where one of them alone has, or none can."""
    return {part: able(campaign, part, tools) for part, tools in makers(campaign).items()}


def able(campaign: Campaign, part: str, tools: Sequence[str]) -> list[str]:
    """Of several tools with cavities for a part those that can make it: a cavity is open, and the tool fits a press
    that has hours and as many operators as it asks for. All where none can."""
    if len(tools) < 2:
        return list(tools)
    found = [name for name in tools if campaign.tools[name].open_cavities(part) > 0 and _can_run(campaign, name)]
    return found or list(tools)


def _can_run(campaign: Campaign, tool: str) -> bool:
    return any(
        campaign.presses[press].has_hours and enough_operators(campaign, tool, press)
        for press in fitting(campaign, tool)
    )


def tools_together(campaign: Campaign) -> list[tuple[str, ...]]:
    """Tools that make a part another one makes too, with all that hang together so; each group sorted, and all."""
    group = {tool: {tool} for tool in campaign.tools}
    for tools in makers(campaign).values():
        joined = set().union(*(group[tool] for tool in tools))
        for tool in joined:
            group[tool] = joined
    return sorted({tuple(sorted(tools)) for tools in group.values() if len(tools) > 1})


class Sharing:
    """What a group of tools makes in one set of colours, and which shots are enough. needed: part -> good parts."""

    def __init__(
        self, campaign: Campaign, tools: Sequence[str], colours: tuple[str, ...], needed: dict[str, int]
    ) -> None:
        self.campaign, self.tools, self.colours, self.needed = campaign, tuple(tools), colours, needed
        self._alone: Shots = {}
        self._able = {
            part: able(campaign, part, [tool for tool in self.tools if part in campaign.tools[tool].cavities])
            for part in needed
        }
        self.begun: Shots = {}
        for press in campaign.presses.values():
            for run in press.begins_with:
                if run.tool in tools and tuple(run.colours) == colours:
                    self.begun[run.tool] = max(self.begun.get(run.tool, 0), run.shots or 0, self.least(run.tool))

    def least(self, tool: str) -> int:
        """Shots below which the tool is not put up: its smallest lot."""
        return self.campaign.tools[tool].smallest_lot_shots or 1

    def sure(self, part: str, shots: Shots) -> float:
        """P(enough good parts)."""
        return chance_of_parts(self.campaign, part, moulded(self.campaign, part, shots), self.needed[part])

    def enough(self, shots: Shots, parts: Iterable[str]) -> bool:
        """Whether each of the parts is there as surely as the campaign asks for."""
        return all(self.sure(part, shots) >= self.campaign.confidence for part in parts)

    def makes(self, tool: str) -> list[str]:
        """The needed parts that a tool makes: none where it cannot, and another one can."""
        return [part for part in self.needed if tool in self._able[part]]

    def alone(self, tool: str) -> int:
        """Shots of a tool that give enough of all it makes, without the others."""
        if tool not in self._alone:
            self._alone[tool] = self._fewest(dict.fromkeys(self.tools, 0), tool, self.makes(tool), 0)
        return self._alone[tool]

    def completed(self, given: Shots, last: Sequence[str] = ()) -> Shots:
        """Shots that are enough and none more: those given, topped up and cut. last: who makes what is left over, first
        of them first; by default whoever is given any, the last of them first, then the first that makes the part."""
        shots = {tool: self._allowed(tool, given.get(tool, 0)) for tool in self.tools}
        busy = [tool for tool in reversed(self.tools) if shots[tool]]
        for part in self.needed:
            if self.enough(shots, [part]):
                continue
            who = next(tool for tool in (*last, *busy, *self.tools) if tool in self._able[part])
            shots[who] = self._fewest(shots, who, [part], shots[who])
        order = [*last, *(tool for tool in reversed(self.tools) if tool not in last)]
        for tool in order:
            if shots[tool]:
                shots[tool] = self._fewest(shots, tool, self.makes(tool), self.begun.get(tool, 0))
        return shots

    def _allowed(self, tool: str, shots: int) -> int:
        shots = max(shots, self.begun.get(tool, 0))
        most = self.alone(tool) if shots else 0
        return 0 if shots <= 0 or not most else max(self.least(tool), min(shots, most))

    def _fewest(self, shots: Shots, tool: str, parts: list[str], low: int) -> int:
        """The fewest shots of one tool, at least `low`, with which the parts are enough beside what the others make."""
        if not parts or self.enough({**shots, tool: low}, parts):
            return low
        few = max(low, self.least(tool) - 1)
        if few > low and self.enough({**shots, tool: few + 1}, parts):
            return few + 1
        scrap = self.campaign.tools[tool].scrap_share
        guess = few + 1
        for part in parts:
            others = sum(
                n * (1 - self.campaign.tools[name].scrap_share)
                for name, n in moulded(self.campaign, part, {**shots, tool: 0}).items()
            )
            each = self.campaign.tools[tool].open_cavities(part) * (1 - scrap)
            guess = max(guess, int((self.needed[part] - others) / each))
        step, many = 1, guess
        if self.enough({**shots, tool: guess}, parts):
            while many - step > few and self.enough({**shots, tool: many - step}, parts):
                many, step = many - step, step * 2
            few = max(few, many - step)
        else:
            while not self.enough({**shots, tool: many}, parts):
                few, many, step = many, many + step, step * 2
        while many - few > 1:
            middle = (few + many) // 2
            if self.enough({**shots, tool: middle}, parts):
                many = middle
            else:
                few = middle
        return many


def moulded(campaign: Campaign, part: str, shots: Shots) -> Shots:
    """Parts that each tool moulds in so many shots, of those that make the part."""
    return {
        tool: n * campaign.tools[tool].open_cavities(part)
        for tool, n in shots.items()
        if part in campaign.tools[tool].cavities
    }


def told(sharing: Sharing) -> Shots:
    """Shots of each tool of a group, enough and none more: those the campaign names for some of its tools, the others
    making the rest; else those of its order of work; else all with the first of them."""
    planning = sharing.campaign.planning
    shots: Counter[str] = Counter()
    for one in planning.made_by:
        if one.tool in sharing.tools and tuple(one.colours) == sharing.colours:
            shots[one.tool] += one.shots
    if shots:
        return sharing.completed(dict(shots), [tool for tool in sharing.tools if tool not in shots])
    for runs in planning.begin_from.presses.values() if planning.begin_from else ():
        for run in runs:
            if run.tool in sharing.tools and tuple(run.colours) == sharing.colours:
                shots[run.tool] += run.shots
    return sharing.completed(dict(shots))


def shares(campaign: Campaign, part: str, shots: Shots, parts: int) -> Shots:
    """Good parts counted on from each tool: its share of all that is moulded, whole, the largest rest first."""
    made = {tool: n for tool, n in moulded(campaign, part, shots).items() if n}
    total = sum(made.values())
    found = {tool: parts * n // total for tool, n in made.items()}
    rest = sorted(made, key=lambda tool: (-(parts * made[tool] % total), tool))
    for tool in rest[: parts - sum(found.values())]:
        found[tool] += 1
    return found
