"""What a run takes from each barrel, and what it asks of the machine."""

from typing import Any

from api.paper.content import CavitiesOpen, Drying, MeltDraw, Settings
from planner.campaign import Campaign
from planner.campaign.fit import shot_mass_g
from planner.campaign.heat import heat_of
from planner.campaign.materials import Resin
from planner.campaign.mould_temperature import usual_mould_c
from planner.campaign.resin_nature import family_of
from planner.plan.document import Run


def melts_of(run: Run, campaign: Campaign) -> list[MeltDraw]:
    """What the run takes from each barrel."""
    grams = shot_mass_g(campaign, campaign.tools[run.tool])
    startup = run.changeover.startup_shots if run.changeover else 0
    shots = run.shots + startup + sum(stretch.restart_shots for stretch in run.stretches)
    found = []
    for place, (melt, shot_g) in enumerate(zip(run.melts, grams, strict=True)):
        resin, colour = melt.rsplit("/", 1)
        kg = shots * shot_g / 1000 + _purged(run, melt, place + 1)
        down = 0.0 if campaign.resins[resin].natural_colour == colour else campaign.colours[colour].let_down_percent
        found.append(
            MeltDraw(
                barrel=place + 1,
                resin=resin,
                colour=colour,
                shot_g=shot_g,
                melt_kg=kg,
                masterbatch_kg=kg * down / 100,
                let_down_percent=down,
                **_facts(resin, campaign.resins[resin]),
            )
        )
    return found


def _facts(name: str, resin: Resin) -> dict[str, Any]:
    """Temperatures and drying of a resin as far as they are known, the campaign's own first."""
    family, sources = family_of(name, resin), []
    mould = usual_mould_c(name, resin)
    usual = family.drying if family else None
    degrees: tuple[float, float] | None = None
    heat = heat_of(name, resin)
    if heat.known and resin.melt_c is None:
        sources.append(heat.source)
    if mould is not None:
        sources.append(mould[1])
    if resin.drying_c is not None:
        degrees = (resin.drying_c, resin.drying_c)
    elif usual is not None:
        degrees = usual.degrees_c
    if usual is not None and (resin.drying_c is None or not resin.drying_hours):
        sources.append(usual.source)
    return {
        "melt_c": (heat.low, heat.high) if heat.known else None,
        "mould_c": mould[0] if mould else None,
        "drying": Drying(hours=resin.drying_hours, degrees_c=degrees, usual_hours=usual.hours if usual else None),
        "sources": sources,
    }


def settings_of(run: Run, campaign: Campaign) -> Settings:
    """What the tool asks of the machine."""
    tool = campaign.tools[run.tool]
    return Settings(
        cycle_s=tool.cycle_s,
        clamp_kn=tool.clamp_kn or None,
        mould_c=tool.mould_c,
        cavities=[
            CavitiesOpen(part=part, open=number - tool.blocked_cavities.get(part, 0), cavities=number)
            for part, number in tool.cavities.items()
        ],
    )


def _purged(run: Run, melt: str, barrel: int) -> float:
    purges = [*(run.changeover.purges if run.changeover else []), *(p for s in run.stretches for p in s.purges)]
    return sum(
        purge.kg - purge.compound_kg - purge.bridge_kg
        for purge in purges
        if purge.barrel == barrel and purge.to == melt
    )
