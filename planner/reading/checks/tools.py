"""Tools: what they make, and whether any press takes them."""

from planner.campaign.document import Campaign
from planner.campaign.fit import misfits
from planner.campaign.pointers import pointer
from planner.campaign.tools import Tool
from planner.errors import Problem
from planner.reading.checks.names import Steps
from planner.reading.checks.needs import Needs


def check_shape(campaign: Campaign) -> list[Problem]:
    """Each tool by itself: cavities, parts that cannot share a shot, runner masses."""
    problems = []
    for name, tool in campaign.tools.items():
        problems += _blocked(name, tool)
        problems += _alike(campaign, name, tool)
        problems += _per_barrel(campaign, name, tool)
        problems += _hot_runner(name, tool)
    return problems


def check_open(campaign: Campaign, needs: Needs) -> list[Problem]:
    """Parts still to be moulded, all cavities of which are blocked."""
    return [
        Problem(
            pointer("tools", name, "blocked_cavities", part),
            f"all {tool.cavities[part]} cavities of `{part}` in tool `{name}` are blocked, so nothing makes it",
            "leave at least one cavity open",
        )
        for name, tool in campaign.tools.items()
        for part, shut in tool.blocked_cavities.items()
        if shut == tool.cavities.get(part) and needs.wants(name, part)
    ]


def check_fit(campaign: Campaign, needs: Needs) -> list[Problem]:
    """Tools with something to mould that fit no press, with what stands against each press they may run on."""
    problems = []
    for name, tool in campaign.tools.items():
        if not any(needs.wants(name, part) for part in tool.cavities):
            continue
        allowed = [press for press in tool.presses if press in campaign.presses]
        against = {press: misfits(campaign, name, press) for press in allowed}
        if not allowed or not all(against.values()):
            continue
        two = len({len(campaign.parts[p].barrels) for p in tool.cavities if p in campaign.parts} & {2}) == 1
        fits = "fits no press with two barrels" if two else "fits no press"
        text = "; ".join(reason for press in allowed for reason in against[press])
        elsewhere = [
            press
            for press in sorted(campaign.presses)
            if press not in tool.presses and len(misfits(campaign, name, press)) == 1
        ]
        remedy = "correct clamp force, masses, cavities or the barrels' shot windows, or add a press that takes it"
        if elsewhere:
            remedy = f"add `{elsewhere[0]}` to the tool's `presses`, which would take it, or {remedy}"
        problems.append(Problem(pointer("tools", name, "presses"), f"tool `{name}` {fits}: {text}", remedy))
    return problems


def _blocked(name: str, tool: Tool) -> list[Problem]:
    here: Steps = ("tools", name, "blocked_cavities")
    problems = []
    for part, shut in tool.blocked_cavities.items():
        if part not in tool.cavities:
            problems.append(
                Problem(
                    pointer(*here, part),
                    f"tool `{name}` has no cavities of `{part}` that could be blocked",
                    "name a part of its `cavities`",
                )
            )
        elif shut > tool.cavities[part]:
            problems.append(
                Problem(
                    pointer(*here, part),
                    f"{shut} cavities of `{part}` in tool `{name}` are blocked, and it has {tool.cavities[part]}",
                    "block no more cavities than there are",
                )
            )
    return problems


def _alike(campaign: Campaign, name: str, tool: Tool) -> list[Problem]:
    """All parts of a tool are shot at once, so barrel for barrel they are of one resin."""
    parts = [part for part in tool.cavities if part in campaign.parts]
    resins = {part: [barrel.resin for barrel in campaign.parts[part].barrels] for part in parts}
    return [
        Problem(
            pointer("tools", name, "cavities", part),
            f"tool `{name}` makes `{parts[0]}` of {' and '.join(resins[parts[0]])} "
            f"and `{part}` of {' and '.join(resins[part])}: one shot cannot do both",
            "give the parts of one tool the same resin in each barrel, or split the tool in two",
        )
        for part in parts[1:]
        if resins[part] != resins[parts[0]]
    ]


def _hot_runner(name: str, tool: Tool) -> list[Problem]:
    """What is said of a hot runner must not contradict itself."""
    if not tool.hot_runner_clean or not tool.hot_runner_holds:
        return []
    return [
        Problem(
            pointer("tools", name, "hot_runner_clean"),
            f"the hot runner of tool `{name}` is said to be clean and to hold `{tool.hot_runner_holds[0]}`",
            "keep what is true",
        )
    ]


def _per_barrel(campaign: Campaign, name: str, tool: Tool) -> list[Problem]:
    barrels = max((len(campaign.parts[p].barrels) for p in tool.cavities if p in campaign.parts), default=2)
    return [
        Problem(
            pointer("tools", name, field),
            f"tool `{name}` uses {'one barrel' if barrels == 1 else f'{barrels} barrels'}, "
            f"but `{field}` gives {len(getattr(tool, field))} {many}",
            f"give one {one} per barrel",
        )
        for field, one, many in (
            ("runner_g", "mass", "masses"),
            ("hot_runner_kg", "mass", "masses"),
            ("hot_runner_holds", "melt", "melts"),
        )
        if len(getattr(tool, field)) > barrels
    ]
