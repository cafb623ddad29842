"""A6 before planning: resins that must never meet, where nothing would keep them apart.

Where a clash comes only from what is not known of a resin, the answer is asked for wherever the two could share a
barrel, a dryer or a tool, even if a plan could keep them apart: whoever loads the hopper must know what is in it.
"""

from collections import defaultdict
from collections.abc import Iterator
from itertools import combinations

from planner.campaign.document import Campaign
from planner.campaign.family_words import said_by
from planner.campaign.fit import fitting, resins_of
from planner.campaign.forbidden import SOURCE, clash, why_forbidden
from planner.campaign.pointers import pointer
from planner.campaign.resin_nature import nature
from planner.errors import Problem
from planner.reading.checks import sharing
from planner.reading.checks.needs import Needs

ALWAYS = f"no purge makes it safe; see {SOURCE} and the supplier's data sheet"
REMEDY = {
    "family": "write its family as the trade abbreviates it (PP, PE-HD, ABS, PA66, PC+ABS, TPE, POM, PVC-U, ...); for "
    "one that the planner does not know, read its data sheet: where it holds neither acetal nor chlorine, bromine or "
    "fluorine, say `neither_acetal_nor_halogenated: true`",
    "halogenated_flame_retardant": "say `halogenated_flame_retardant: true` or `false`, from its data sheet",
}
BARREL_REMEDY = (
    "ask whoever runs the press, and give `holds` (`resin/colour`), or `clean: true` if it was stripped and cleaned; "
    "or leave the press out of the tool's `presses`"
)
OTHERS_REMEDY = (
    "ask them, and give `leaves` (`resin/colour`, one per barrel) and `moulds`, every resin they put through it; or "
    "leave the press out of the tool's `presses`"
)
HOT_RUNNER_REMEDY = (
    "give `hot_runner_holds` (`resin/colour`) or list the resins it held on trials and runs in `hot_runner_has_held`, "
    "or say `hot_runner_clean: true` if it is new or was taken apart and cleaned"
)


def check(campaign: Campaign, needs: Needs) -> list[Problem]:
    """Pairs within themselves, dryers, tools, and presses."""
    tools = sorted({tool for tool, _ in needs.melts})
    resins = {tool: resins_of(campaign, campaign.tools[tool]) or [] for tool in tools}
    alone = {tool: resins[tool] for tool in sorted({tool for tool, _ in needs.runs})}
    used = sorted({resin for found in resins.values() for resin in found})
    unclear = [
        *_contradictions(campaign, used),
        *_asked(campaign, used, resins),
        *_unsaid_contents(campaign, resins),
        *_compound(campaign, used),
        *_masterbatches(campaign, needs),
    ]
    if unclear:
        return [*_self_pairs(campaign), *unclear]
    return [
        *_self_pairs(campaign),
        *_both_in_a_barrel(campaign),
        *_hot_runners(campaign, resins),
        *_dryers(campaign, used),
        *_within_a_tool(campaign, resins),
        *sharing.problems(campaign, alone, lambda a, b: why_forbidden(campaign, a, b), ALWAYS),
    ]


def _self_pairs(campaign: Campaign) -> list[Problem]:
    return [
        Problem(
            pointer("forbidden_pairs", n),
            f"resin `{pair.one}` is forbidden to meet itself",
            "name two different resins",
        )
        for n, pair in enumerate(campaign.forbidden_pairs)
        if pair.one == pair.other
    ]


def _contradictions(campaign: Campaign, used: list[str]) -> list[Problem]:
    """Resins, moulded or in a barrel, whose fields say two different things."""
    held = {resin for press in campaign.presses.values() for barrel in press.barrels for resin in barrel.resins_in_it}
    held |= {resin for press in campaign.presses.values() for resin in press.resins_of_others}
    held |= {resin for tool in campaign.tools.values() for resin in tool.hot_runner_resins}
    told = {name: nature(name, campaign.resins[name]) for name in sorted({*used, *held}) if name in campaign.resins}
    return [
        Problem(
            pointer("resins", name, "family"),
            f"resin `{name}` contradicts itself: {what.contradiction}",
            "correct the family, or give the resin an id that says the same",
        )
        for name, what in told.items()
        if what.contradiction
    ]


def _asked(campaign: Campaign, used: list[str], resins: dict[str, list[str]]) -> list[Problem]:
    """One problem for each resin of which something must be known, at the field that would tell."""
    asked: dict[tuple[str, str], str] = {}
    for one, other, where in _meetings(campaign, used, resins):
        found = clash(campaign, one, other)
        if found is not None and found.asks is not None:
            about = other if found.asks[0] == one else one
            asked.setdefault(found.asks, f"{found.why}; it could share {where} with `{about}`")
    return [
        Problem(pointer("resins", name, field), why, REMEDY[field])
        for (name, field), why in sorted(asked.items())
        if not nature(name, campaign.resins[name]).contradiction
    ]


def _meetings(campaign: Campaign, used: list[str], resins: dict[str, list[str]]) -> Iterator[tuple[str, str, str]]:
    """(resin, other resin, place) wherever two of the campaign's resins could come together."""
    at: dict[str, set[str]] = defaultdict(set)
    for tool, found in resins.items():
        if len(found) == 2:
            yield found[0], found[1], f"a part of tool `{tool}`"
        for press in fitting(campaign, tool):
            for k, (resin, barrel) in enumerate(zip(found, campaign.presses[press].barrels, strict=False), start=1):
                theirs = campaign.presses[press].resins_of_others
                at[f"barrel {k} of press `{press}`"] |= {resin, *barrel.resins_in_it, *theirs}
        for k, resin in enumerate(found):
            if campaign.tools[tool].has_hot_runner(k):
                at[f"hot runner {k + 1} of tool `{tool}`"] |= {resin, *campaign.tools[tool].hot_runner_resins}
    for resin in used:
        dryer = campaign.resins[resin].dryer if resin in campaign.resins else None
        if dryer is not None:
            at[f"dryer `{dryer}`"].add(resin)
    for place, there in sorted(at.items()):
        for one, other in combinations(sorted(there), 2):
            yield one, other, place


def _unsaid_contents(campaign: Campaign, resins: dict[str, list[str]]) -> Iterator[Problem]:
    """Barrels and hot runners into which acetal or PVC could go, though nobody says what they hold or have held."""
    found: dict[str, Problem] = {}
    for tool, moulded in resins.items():
        for k, resin in enumerate(moulded):
            if resin not in campaign.resins or not _touchy(campaign, resin):
                continue
            if campaign.tools[tool].has_hot_runner(k) and campaign.tools[tool].hot_runner_unsaid:
                where, field = f"the hot runner of tool `{tool}`", pointer("tools", tool, "hot_runner_has_held")
                _unsaid(campaign, found, resin, where, field, HOT_RUNNER_REMEDY)
            for press in fitting(campaign, tool):
                if campaign.presses[press].barrels[k].unsaid:
                    where = f"barrel {k + 1} of press `{press}`"
                    field = pointer("presses", press, "barrels", k, "holds")
                    _unsaid(campaign, found, resin, where, field, BARREL_REMEDY)
                for n, others in enumerate(campaign.presses[press].others):
                    if len(others.leaves) <= k or not others.moulds:
                        where = f"barrel {k + 1} of press `{press}` after others worked there"
                        lacking = "leaves" if len(others.leaves) <= k else "moulds"
                        field = pointer("presses", press, "others", n, lacking)
                        _unsaid(campaign, found, resin, where, field, OTHERS_REMEDY)
    yield from found.values()


def _unsaid(campaign: Campaign, found: dict[str, Problem], resin: str, where: str, field: str, remedy: str) -> None:
    """Ask what was there; of a resin that nobody knows, first what it is itself."""
    message = f"nobody says what is in {where}, and `{resin}`, which could go in, must not meet just anything"
    doubt = nature(resin, campaign.resins[resin])
    if doubt.contradiction:
        return
    if doubt.doubt:
        field, remedy = pointer("resins", resin, doubt.asks), REMEDY[doubt.asks]
        message = (
            f"of `{resin}` nobody knows whether it is safe: {doubt.doubt}, and nobody says what is in {where}, "
            "where it could go"
        )
    found.setdefault(field, Problem(field, message, remedy))


def _touchy(campaign: Campaign, resin: str) -> bool:
    """Whether it is, or may be, one of those that must never meet."""
    what = nature(resin, campaign.resins[resin])
    return what.acetal or what.halogenated


def _hot_runners(campaign: Campaign, resins: dict[str, list[str]]) -> list[Problem]:
    return [
        Problem(
            pointer("tools", tool, _said_of_hot_runner(campaign, tool, held)),
            f"tool `{tool}` moulds `{resin}` and its hot runner has held `{held}`, and {why}",
            f"mould it with another tool: {ALWAYS}",
        )
        for tool, found in resins.items()
        for k, resin in enumerate(found)
        if campaign.tools[tool].has_hot_runner(k)
        for held in campaign.tools[tool].hot_runner_resins
        if (why := why_forbidden(campaign, resin, held))
    ]


def _said_of_hot_runner(campaign: Campaign, tool: str, held: str) -> str:
    """The field that says that a resin is or was in a tool's hot runner."""
    return "hot_runner_has_held" if held in campaign.tools[tool].hot_runner_has_held else "hot_runner_holds"


def _compound(campaign: Campaign, used: list[str]) -> Iterator[Problem]:
    """A purging compound goes into barrels of acetal or PVC only where the maker says that it is fit for them."""
    compound = campaign.purging.compound
    if compound is None or not compound.can_be_had:
        return
    told = {name: nature(name, campaign.resins[name]) for name in used if name in campaign.resins}
    touchy = [name for name in told if _touchy(campaign, name)]
    if touchy and not compound.resins and {compound.use, *(rule.use for rule in compound.rules)} != {"never"}:
        yield Problem(
            pointer("purging", "compound", "resins"),
            f"nothing says that `{compound.name}` may be purged through `{touchy[0]}`, and some compounds may not be "
            "mixed with acetal or PVC",
            "list the resins that its supplier says it is fit for",
        )
    said = said_by(compound.name)
    for n, name in enumerate(compound.resins):
        what = told.get(name)
        if what and ((said.halogen and what.acetal) or (said.acetal and what.halogenated)):
            yield Problem(
                pointer("purging", "compound", "resins", n),
                f"by its name `{compound.name}` may be what must never meet `{name}`",
                f"take `{name}` out, or give the compound a name that does not speak of it: {ALWAYS}",
            )


def _masterbatches(campaign: Campaign, needs: Needs) -> Iterator[Problem]:
    """A masterbatch whose id speaks of PVC does not go into acetal, nor the other way round: its carrier is a resin."""
    melts = sorted({melt for found in needs.melts.values() for melt in found})
    for melt in melts:
        resin, colour = melt.rsplit("/", 1)
        if resin not in campaign.resins or campaign.resins[resin].natural_colour == colour:
            continue
        what, said = nature(resin, campaign.resins[resin]), said_by(colour)
        if (said.halogen and what.acetal) or (said.acetal and what.halogenated):
            yield Problem(
                pointer("colours", colour),
                f"by its id the masterbatch `{colour}` may be carried by what must never meet `{resin}`",
                f"use one that its supplier allows in it, or give it an id that does not speak of it: {ALWAYS}",
            )


def _dryers(campaign: Campaign, used: list[str]) -> list[Problem]:
    problems = []
    for one, other in combinations(used, 2):
        if one not in campaign.resins or other not in campaign.resins:
            continue
        dryer = campaign.resins[one].dryer
        why = why_forbidden(campaign, one, other)
        if dryer is not None and dryer == campaign.resins[other].dryer and why:
            problems.append(
                Problem(
                    pointer("resins", other, "dryer"),
                    f"resins `{one}` and `{other}` share dryer `{dryer}`, and {why}",
                    f"give each its own dryer: {ALWAYS}",
                )
            )
    return problems


def _both_in_a_barrel(campaign: Campaign) -> list[Problem]:
    """Barrels that have held both of a pair already, by the document or by the floor's log."""
    return [
        Problem(
            pointer("presses", press, "barrels", k, "has_held"),
            f"barrel {k + 1} of press `{press}` has held `{one}` and `{other}`, and {why}",
            "if that is so, keep away from it, stop the press and have the barrel stripped and cleaned by somebody who "
            f"knows how: {ALWAYS}; otherwise correct what the document or the log says",
        )
        for press, machine in campaign.presses.items()
        for k, barrel in enumerate(machine.barrels)
        for one, other in combinations(barrel.resins_in_it, 2)
        if (why := why_forbidden(campaign, one, other))
    ]


def _within_a_tool(campaign: Campaign, resins: dict[str, list[str]]) -> list[Problem]:
    problems = []
    for tool, found in resins.items():
        why = why_forbidden(campaign, found[0], found[1]) if len(found) == 2 else None
        if why:
            problems.append(
                Problem(
                    pointer("tools", tool, "cavities"),
                    f"tool `{tool}` brings `{found[0]}` and `{found[1]}` together in one part, and {why}",
                    f"mould one of them in another resin: {ALWAYS}",
                )
            )
    return problems
