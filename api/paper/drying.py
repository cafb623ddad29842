"""What runs draw of each resin, and from it when to load which dryer with how much."""

from collections.abc import Iterator

from api.paper.content import DryerLoad, MeltDraw
from planner.campaign import Campaign
from planner.campaign.fit import shot_mass_g
from planner.material.drying import Drying, DryingDraw, drying_loads
from planner.plan import RunPlan
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


def loads_of(plan: RunPlan, campaign: Campaign) -> list[DryerLoad]:
    """Every load of every dryer, in order of loading."""
    dried = {
        name: Drying(resin.dryer or name, resin.drying_hours, resin.drying_c, resin.dryer_kg)
        for name, resin in campaign.resins.items()
        if resin.drying_hours > 0
    }
    draws = [draw for run in plan.runs for draw in _draws(run, campaign)]
    return [
        DryerLoad(
            dryer=load.dryer,
            resin=load.resin,
            kg=load.kg,
            hours=dried[load.resin].hours,
            degrees_c=dried[load.resin].degrees_c,
            load_at=load.load_at,
            dry_at=load.dry_at,
            runs=list(load.runs),
        )
        for load in drying_loads(draws, dried)
    ]


def _draws(run: Run, campaign: Campaign) -> Iterator[DryingDraw]:
    """Between two closings what the press works in that stretch, the changeover with the first."""
    grams = shot_mass_g(campaign, campaign.tools[run.tool])
    change = run.changeover
    for place, (melt, shot_g) in enumerate(zip(run.melts, grams, strict=True)):
        resin, colour = melt.split("/")
        down = 0.0 if campaign.resins[resin].natural_colour == colour else campaign.colours[colour].let_down_percent
        for number, stretch in enumerate(run.stretches):
            kg = (stretch.shots + stretch.restart_shots) * shot_g / 1000
            start = stretch.start
            if number == 0 and change is not None:
                kg += change.startup_shots * shot_g / 1000 + _purged(run, melt, place + 1)
                start = change.start
            yield DryingDraw(run.id, resin, start, stretch.end, kg * (1 - down / 100))


def _purged(run: Run, melt: str, barrel: int) -> float:
    purges = run.changeover.purges if run.changeover else []
    return sum(purge.kg for purge in purges if purge.barrel == barrel and purge.to == melt)
