"""Parts that are moulded over others: what makes no sense of them. What they name that there is not: see `names`."""

from planner.campaign.document import Campaign
from planner.campaign.pointers import pointer
from planner.campaign.products import MouldedOver
from planner.demand.shared_parts import makers, tools_together
from planner.errors import Problem


def check(campaign: Campaign) -> list[Problem]:
    """Nothing is moulded over itself, nor over what its own tool makes; colours, finishing and tools that do not go."""
    problems = []
    for name, part in campaign.parts.items():
        if part.moulded_over is not None:
            problems += _of_part(campaign, name, part.moulded_over)
    return problems


def _of_part(campaign: Campaign, name: str, over: MouldedOver) -> list[Problem]:
    here = ("parts", name, "moulded_over")
    found = []
    if not over.parts and not over.pieces:
        found.append(
            Problem(
                pointer(*here),
                f"part `{name}` is moulded over nothing",
                "name the `parts` or `pieces` that go into its mould, or take `moulded_over` out",
            )
        )
    for n, one in enumerate(over.parts):
        at = (*here, "parts", n)
        under = campaign.parts.get(one.part)
        if under is None:
            continue
        if len(one.colours) != len(under.barrels):
            found.append(
                Problem(
                    pointer(*at, "colours"),
                    f"`{one.part}` is shot from {_barrels(len(under.barrels))}, "
                    f"{len(one.colours)} of its colours are named",
                    "name one colour per barrel",
                )
            )
        if under.finishing:
            found.append(
                Problem(
                    pointer(*at, "part"),
                    f"`{one.part}` goes into a mould and is worked on between press and assembly",
                    "do that to the part that is moulded over it, or take its `finishing` out",
                )
            )
        if name in _under(campaign, one.part, set()) or _tools_of(campaign, name) & _tools_of(campaign, one.part):
            found.append(
                Problem(
                    pointer(*at, "part"),
                    f"`{one.part}` must be there before `{name}` is moulded over it, and needs it or its tool itself",
                    "let another tool make it, and nothing go into a part that goes into that",
                )
            )
    return found


def _barrels(number: int) -> str:
    return "one barrel" if number == 1 else f"{number} barrels"


def _tools_of(campaign: Campaign, part: str) -> set[str]:
    """The tools that make a part, and those that share parts with them."""
    made = set(makers(campaign).get(part, []))
    return made.union(*(tools for tools in tools_together(campaign) if made & set(tools)))


def _under(campaign: Campaign, part: str, seen: set[str]) -> set[str]:
    """Parts that have to be made before a part, itself with them."""
    if part in seen or part not in campaign.parts:
        return seen
    seen.add(part)
    over = campaign.parts[part].moulded_over
    tools = [tool for tool in campaign.tools.values() if part in tool.cavities]
    for beside in {other for tool in tools for other in tool.cavities} - {part}:
        more = campaign.parts[beside].moulded_over if beside in campaign.parts else None
        for one in more.parts if more else ():
            _under(campaign, one.part, seen)
    for one in over.parts if over else ():
        _under(campaign, one.part, seen)
    return seen
