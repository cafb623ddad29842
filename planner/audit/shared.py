"""Parts that several tools make (D6): who made how many, and how sure they are together to hold enough good ones."""

from fractions import Fraction
from itertools import pairwise
from math import fsum

from planner.audit.case import Case, open_cavities
from planner.audit.chance import chance, law_of
from planner.audit.needs import Item, spoilt
from planner.campaign.tools import Tool

TAIL = 1e-9
"""Numbers of good parts that are less likely than this are left out of a sum."""


def is_shared(case: Case, part: str) -> bool:
    """Whether several tools make the part, or a tool that makes it makes another that several make."""
    return case.once(("shared", part), lambda: len(_hanging_together(case, part)) > 1)


def _hanging_together(case: Case, part: str) -> set[str]:
    tools = {name for name, tool in case.campaign.tools.items() if part in tool.cavities}
    while True:
        parts = {made for name in tools for made in case.campaign.tools[name].cavities}
        more = {name for name, tool in case.campaign.tools.items() if parts & set(tool.cavities)}
        if more == tools:
            return tools
        tools = more


def shots_with(case: Case, item: Item) -> dict[str, int]:
    """Tool -> shots the plan makes with it, of the tools that make the item."""
    found: dict[str, int] = {}
    for work in case.by_item.get(item, []):
        found[work.run.tool] = found.get(work.run.tool, 0) + work.run.shots
    return dict(sorted(found.items()))


def counts_with(case: Case, item: Item) -> dict[str, int]:
    """As `_counts_with`, worked out once."""
    return case.once(("counts with", item), lambda: _counts_with(case, item))


def _counts_with(case: Case, item: Item) -> dict[str, int]:
    """Tool -> good parts counted on from all its shots."""
    need = case.needs.get(item)
    return dealt_out(case, item, need.to_mould if need is not None else 0)


def dealt_out(case: Case, item: Item, parts: int) -> dict[str, int]:
    """Tool -> how many of so many parts it makes: as its share of what is moulded, whole, largest rest first."""
    tools = case.campaign.tools
    made = {tool: n * open_cavities(tools[tool], item[0]) for tool, n in shots_with(case, item).items()}
    total = sum(made.values())
    if not total:
        return dict.fromkeys(made, 0)
    exact = {tool: Fraction(parts * number, total) for tool, number in made.items()}
    whole = {tool: int(share) for tool, share in exact.items()}
    rest = parts - sum(whole.values())
    for tool in sorted(exact, key=lambda name: (whole[name] - exact[name], name))[:rest]:
        whole[tool] += 1
    return whole


def surely(case: Case, item: Item, shots: dict[str, int]) -> float:
    """P(enough good parts of the item) of so many shots with each tool, scrap of each apart from the others'."""
    need = case.needs.get(item)
    wanted = need.to_mould + need.tests if need else 0
    spoils = spoilt(case.campaign, item[0])
    begin, chances = 0, [1.0]
    for name, number in shots.items():
        tool = case.campaign.tools[name]
        parts = number * open_cavities(tool, item[0])
        if parts:
            low, mine = _counts(case, tool, parts, spoils)
            begin, chances = begin + low, _summed(chances, mine)
    return 1.0 if wanted <= 0 else min(1.0, fsum(chances[max(0, wanted - begin) :]))


def _summed(one: list[float], other: list[float]) -> list[float]:
    """Chances of each sum of two counts."""
    found = [0.0] * (len(one) + len(other) - 1)
    for n, chance_of in enumerate(one):
        for m, beside in enumerate(other, start=n):
            found[m] += chance_of * beside
    return found


def _counts(case: Case, tool: Tool, parts: int, spoils: Fraction) -> tuple[int, list[float]]:
    """The least number of good parts of a tool's, and the chance of it and each one more, tails left out."""

    def work_out() -> tuple[int, list[float]]:
        law = law_of(case.campaign, tool)
        reached: list[float] = []
        good = parts
        while good > 0:
            sure = chance(law, parts, good, tool.scrap_share, spoils)
            if sure >= 1 - TAIL:
                break
            reached.append(sure)
            good -= 1
        upwards = [1.0, *reversed(reached), 0.0]
        return good, [max(0.0, one - more) for one, more in pairwise(upwards)]

    return case.once(("good of", id(tool), parts, spoils), work_out)


def spare_shot(case: Case, item_of: list[Item], name: str, least: int, slack: float) -> bool:
    """Whether a tool could make a shot fewer beside what the others make. item_of: what it makes."""
    for item in item_of:
        need, shots = case.needs.get(item), shots_with(case, item)
        if need is None or not need.to_mould or not shots.get(name):
            continue
        if shots[name] <= least:
            return False
        if surely(case, item, {**shots, name: shots[name] - 1}) < case.campaign.confidence + slack:
            return False
    return True
