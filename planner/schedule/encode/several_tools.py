"""Parts that several tools make, compiled for their bound: as if each of the tools made all of its parts by itself."""

from dataclasses import replace
from typing import TypeVar

import numpy as np

from planner.campaign import Campaign
from planner.campaign.fit import shot_mass_g
from planner.campaign.materials import Bought
from planner.campaign.melts import melt_price
from planner.demand.into_moulds import IntoMoulds, depends_on_shares
from planner.demand.items import RunDemand, run_demands
from planner.demand.shared_parts import Sharing, tools_together
from planner.schedule.bounds.several_tools import SharedWork
from planner.schedule.instance import Instance

AnyBought = TypeVar("AnyBought", bound=Bought)


def everything_made(campaign: Campaign, found: list[Sharing], into: IntoMoulds) -> list[RunDemand]:
    """Run demands in which every tool that shares its parts with others makes all of them; an item's line says what a
    shot moulds. found: who makes parts together. into: what goes into moulds whoever makes how many."""
    together = {tool for tools in tools_together(campaign) for tool in tools}
    every = run_demands(campaign, into.parts)
    made = [run for run in every if run.tool not in together]
    by_tool = {(run.tool, run.colours): run for run in every if run.tool in together}
    for sharing in found:
        mine = [run for (tool, colours), run in by_tool.items() if tool in sharing.tools and colours == sharing.colours]
        known = {item.part: item for run in mine for item in run.items}
        for tool in sharing.tools:
            if not sharing.makes(tool):
                continue
            items = tuple(
                replace(
                    known[part],
                    cavities=campaign.tools[tool].open_cavities(part),
                    to_mould=campaign.tools[tool].open_cavities(part),
                    counting_shots=1,
                    tests=0,
                    shared=True,
                )
                for part in sharing.makes(tool)
            )
            made.append(RunDemand(tool, sharing.colours, mine[0].melts, max(1, sharing.alone(tool)), items))
    return sorted(made, key=lambda run: (run.tool, run.colours))


def whoever_makes(campaign: Campaign, found: list[Sharing], into: IntoMoulds) -> Campaign:
    """The campaign without what depends on who makes how many: the inspection of parts that several tools make, which
    takes as long as its lots ask for, and of what goes into their moulds; and prices that fall with the order, each the
    lowest there is."""
    shared = {part for sharing in found for part in sharing.needed}
    if depends_on_shares(campaign):
        shared |= {part for part, _ in into.parts}
    parts = {
        name: part.model_copy(update={"inspection": None}) if name in shared else part
        for name, part in campaign.parts.items()
    }
    resins = {name: _at_the_lowest(one) for name, one in campaign.resins.items()}
    colours = {name: _at_the_lowest(one) for name, one in campaign.colours.items()}
    pieces = {
        name: one.model_copy(
            update={"price": min([one.price, *(b.price for b in one.price_breaks)]), "price_breaks": []}
        )
        if name in into.more
        else one
        for name, one in campaign.pieces.items()
    }
    return campaign.model_copy(update={"parts": parts, "resins": resins, "colours": colours, "pieces": pieces})


def _at_the_lowest(bought: AnyBought) -> AnyBought:
    if not bought.price_breaks:
        return bought
    lowest = min(step.price_per_kg for step in bought.price_breaks)
    return bought.model_copy(update={"price_per_kg": min(bought.price_per_kg, lowest)})


def shared_works(campaign: Campaign, found: list[Sharing], runs: list[RunDemand], inst: Instance) -> list[SharedWork]:
    """What each group of tools has to make in each set of colours, as its bound takes it."""
    index = {(run.tool, run.colours): n for n, run in enumerate(runs)}
    works = []
    for sharing in found:
        tools = [tool for tool in sharing.tools if sharing.makes(tool)]
        mine = [index[tool, sharing.colours] for tool in tools]
        parts = [
            (needed, [campaign.tools[tool].open_cavities(part) if part in sharing.makes(tool) else 0 for tool in tools])
            for part, needed in sharing.needed.items()
        ]
        charged = inst.shot_charge_least if inst.charging else np.zeros(len(runs))
        material = [_a_shot(campaign, runs[run]) + float(charged[run]) for run in mine]
        works.append(SharedWork(mine, parts, material))
    return works


def _a_shot(campaign: Campaign, run: RunDemand) -> float:
    """Money of the melt of a shot, less all that may come back of it as regrind."""
    tool, money = campaign.tools[run.tool], 0.0
    mass = shot_mass_g(campaign, tool)
    for b, melt in enumerate(run.melts):
        resin = campaign.resins[melt.rpartition("/")[0]]
        runner = tool.runner_g[b] if b < len(tool.runner_g) else 0.0
        back = max(runner, resin.regrind_share * mass[b]) if resin.regrind_share else 0.0
        money += mass[b] * melt_price(campaign, melt) / 1000 - back * resin.price_per_kg / 1000
    return max(0.0, money)
