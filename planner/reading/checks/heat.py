"""A5 before planning: melt temperatures that contradict each other, resins nothing can go between, and melts that must
not stand with nothing to clear them."""

from collections.abc import Iterator

from planner.campaign.document import Campaign
from planner.campaign.fit import resins_of
from planner.campaign.forbidden import why_forbidden
from planner.campaign.heat import (
    UNKNOWN_HEAT,
    bridges,
    cleared_with,
    heat_of,
    in_step,
    meet_at,
    must_be_cleared,
    never_stands,
    survives_at_most,
    used_resins,
)
from planner.campaign.pointers import pointer
from planner.errors import Problem
from planner.reading.checks import sharing
from planner.reading.checks.needs import Needs

BRIDGE_REMEDY = (
    "or add a resin to go between while the barrel heats or cools, one that may stand and melts between the two (PE, "
    "say), with stock or `lead_days`"
)


def check(campaign: Campaign, needs: Needs) -> list[Problem]:
    """Each resin's own figures, then what its tools ask for."""
    wrong = list(_figures(campaign))
    tools = sorted({tool for tool, _ in needs.melts})
    resins = {tool: resins_of(campaign, campaign.tools[tool]) or [] for tool in tools}
    alone = {tool: resins[tool] for tool in sorted({tool for tool, _ in needs.runs})}
    if wrong or any(name not in campaign.resins for found in resins.values() for name in found):
        return wrong
    used = used_resins(campaign)
    moulded = {name for found in resins.values() for name in found}
    return [
        *_nothing_clears(campaign, sorted(moulded), used),
        *_hot_runners(campaign, resins),
        *sharing.problems(campaign, alone, lambda a, b: _no_way_between(campaign, a, b, used), BRIDGE_REMEDY, False),
    ]


def _figures(campaign: Campaign) -> Iterator[Problem]:
    """Of resins that may come into a barrel: what nobody has and nothing asks for is in nobody's way."""
    used = used_resins(campaign)
    for name, resin in campaign.resins.items():
        if name not in used and not resin.can_be_had:
            continue
        if resin.melt_c is not None and resin.melt_c[0] > resin.melt_c[1]:
            yield Problem(
                pointer("resins", name, "melt_c"),
                f"resin `{name}`: `melt_c` goes from {resin.melt_c[0]:g} to {resin.melt_c[1]:g}",
                "write the lowest melt temperature first",
            )
            continue
        limit = survives_at_most(name, resin)
        if resin.melt_c is not None and limit is not None and resin.melt_c[1] > limit:
            yield Problem(
                pointer("resins", name, "melt_c"),
                f"resin `{name}` would be moulded at up to {resin.melt_c[1]:g} degrees C and stands {limit:g}",
                "correct `melt_c`, or `survives_c` from its data sheet; what acetal and PVC stand cannot be raised",
            )
        if resin.stands_cold and never_stands(name, resin):
            yield Problem(
                pointer("resins", name, "stands_cold"),
                f"resin `{name}` is said to stand in a barrel that is shut down; acetal and PVC never do in a plan",
                "leave `stands_cold` out: the plan clears it before each closing",
            )


def _hot_runners(campaign: Campaign, resins: dict[str, list[str]]) -> Iterator[Problem]:
    """Hot runners whose first content, known or not, and their tool's resin have no heat in common: nothing can go
    between there."""
    for tool, moulded in resins.items():
        made = campaign.tools[tool]
        for k, name in enumerate(moulded):
            if not made.has_hot_runner(k) or made.hot_runner_clean:
                continue
            now = heat_of(name, campaign.resins[name])
            told: list[str | None] = [*made.hot_runner_resins]
            for held in told or [None]:
                before = UNKNOWN_HEAT if held is None else heat_of(held, campaign.resins[held])
                if held == name or meet_at(before, now) is not None:
                    continue
                words = f"has held `{held}`" if held else "has held nobody says what"
                earlier = held is None or held in made.hot_runner_has_held
                yield Problem(
                    pointer("tools", tool, "hot_runner_has_held" if earlier else "hot_runner_holds"),
                    f"tool `{tool}` moulds `{name}` at {now.low:g} degrees C or more and its hot runner {words}, which "
                    f"is counted on to stand {before.survives:g}: at no heat does the one push the other out unharmed",
                    "have it taken apart and cleaned (`hot_runner_clean: true`), or correct what it has held",
                )


def _nothing_clears(campaign: Campaign, moulded: list[str], used: frozenset[str]) -> Iterator[Problem]:
    for name in moulded:
        resin = campaign.resins[name]
        if must_be_cleared(name, resin) and cleared_with(campaign, name, used) is None:
            heat = heat_of(name, resin)
            yield Problem(
                pointer("resins", name),
                f"resin `{name}` must not be left in a barrel that is shut down, and no resin of the campaign can "
                "clear it before a closing",
                "add a resin that may stand (PE; PP or PS where their melt temperatures meet), that needs no drying, "
                f"flows at {heat.survives:g} degrees C or less and is forbidden with none, with stock or `lead_days` "
                "and its `natural_colour` among the colours",
            )


def _no_way_between(campaign: Campaign, one: str, other: str, used: frozenset[str]) -> str | None:
    """Why two resins cannot follow each other in a barrel; None where they can, or are forbidden anyway."""
    if one == other or not {one, other} <= set(campaign.resins) or why_forbidden(campaign, one, other) is not None:
        return None
    for a, b in ((_left(campaign, one, used), other), (_left(campaign, other, used), one)):
        if not in_step(campaign, a, b) and not bridges(campaign, a, b, used):
            return f"{_said(campaign, a)} and {_said(campaign, b)}: no heat suits both, and no resin can go between"
    return None


def _left(campaign: Campaign, name: str, used: frozenset[str]) -> str:
    """What a resin's run leaves in the barrel."""
    behind = cleared_with(campaign, name, used) if must_be_cleared(name, campaign.resins[name]) else None
    return behind or name


def _said(campaign: Campaign, name: str) -> str:
    heat = heat_of(name, campaign.resins[name])
    if not heat.known:
        return (
            f"`{name}`'s melt temperature is not known, so it is counted on to stand {heat.survives:g} degrees C only"
        )
    return f"`{name}` melts at {heat.low:g} to {heat.high:g} and stands {heat.survives:g} degrees C"
