"""What a run takes from each barrel."""

from api.paper.content import MeltDraw
from planner.campaign import Campaign
from planner.campaign.fit import shot_mass_g
from planner.plan.document import Run


def melts_of(run: Run, campaign: Campaign) -> list[MeltDraw]:
    """What the run takes from each barrel."""
    grams = shot_mass_g(campaign, campaign.tools[run.tool])
    startup = run.changeover.startup_shots if run.changeover else 0
    shots = run.shots + startup + sum(stretch.restart_shots for stretch in run.stretches)
    found = []
    for place, (melt, shot_g) in enumerate(zip(run.melts, grams, strict=True)):
        resin, colour = melt.split("/")
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
            )
        )
    return found


def _purged(run: Run, melt: str, barrel: int) -> float:
    purges = run.changeover.purges if run.changeover else []
    return sum(purge.kg - purge.compound_kg for purge in purges if purge.barrel == barrel and purge.to == melt)
