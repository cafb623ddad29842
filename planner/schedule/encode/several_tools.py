"""Parts that several tools make, compiled for their bound: as if each of the tools made all of its parts by itself."""

from dataclasses import replace

import numpy as np

from planner.campaign import Campaign
from planner.campaign.fit import shot_mass_g
from planner.campaign.melts import melt_price
from planner.demand.items import RunDemand, run_demands, sharings
from planner.schedule.bounds.several_tools import SharedWork
from planner.schedule.instance import Instance


def everything_made(campaign: Campaign) -> list[RunDemand]:
    """Run demands in which every tool that shares its parts with others makes all of them; an item's line says what a
    shot moulds."""
    together = {tool for sharing in sharings(campaign) for tool in sharing.tools}
    found = [run for run in run_demands(campaign) if run.tool not in together]
    by_tool = {(run.tool, run.colours): run for run in run_demands(campaign) if run.tool in together}
    for sharing in sharings(campaign):
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
            found.append(RunDemand(tool, sharing.colours, mine[0].melts, max(1, sharing.alone(tool)), items))
    return sorted(found, key=lambda run: (run.tool, run.colours))


def without_their_inspection(campaign: Campaign) -> Campaign:
    """The campaign without the inspection of parts that several tools make: it takes as long as its lots ask for."""
    shared = {part for sharing in sharings(campaign) for part in sharing.needed}
    parts = {
        name: part.model_copy(update={"inspection": None}) if name in shared else part
        for name, part in campaign.parts.items()
    }
    return campaign.model_copy(update={"parts": parts})


def shared_works(campaign: Campaign, runs: list[RunDemand], inst: Instance) -> list[SharedWork]:
    """What each group of tools has to make in each set of colours, as its bound takes it."""
    index = {(run.tool, run.colours): n for n, run in enumerate(runs)}
    found = []
    for sharing in sharings(campaign):
        tools = [tool for tool in sharing.tools if sharing.makes(tool)]
        mine = [index[tool, sharing.colours] for tool in tools]
        parts = [
            (needed, [campaign.tools[tool].open_cavities(part) if part in sharing.makes(tool) else 0 for tool in tools])
            for part, needed in sharing.needed.items()
        ]
        charged = inst.shot_charge_least if inst.charging else np.zeros(len(runs))
        material = [_a_shot(campaign, runs[run]) + float(charged[run]) for run in mine]
        found.append(SharedWork(mine, parts, material))
    return found


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
