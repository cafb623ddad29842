"""Kilograms of melt a run takes, and what a melt is made of: for A3 (is it there?), A11 and A12 (does it add up?)."""

from collections import defaultdict
from typing import Literal

from planner.audit.case import Work
from planner.audit.figures import exact
from planner.campaign import Campaign
from planner.campaign.materials import Colour, Resin
from planner.campaign.purging import Compound

Material = tuple[Literal["resin", "masterbatch", "purging compound"], str]


def made_of(campaign: Campaign, melt: tuple[str, str]) -> dict[Material, float]:
    """Material -> kg in one kg of the melt (resin, colour)."""
    resin, colour = melt
    share = float(exact(campaign.colours[colour].let_down_percent) / 100)
    if campaign.resins[resin].natural_colour == colour or not share:
        return {("resin", resin): 1.0}
    return {("resin", resin): 1 - share, ("masterbatch", colour): share}


def price_of(campaign: Campaign, melt: tuple[str, str]) -> float:
    """Money for one kg of the melt."""
    return sum(share * bought(campaign, material).price_per_kg for material, share in made_of(campaign, melt).items())


def is_bought(campaign: Campaign, material: Material) -> bool:
    """Whether the campaign has the material."""
    kind, name = material
    if kind == "purging compound":
        return campaign.purging.compound is not None
    return name in (campaign.resins if kind == "resin" else campaign.colours)


def bought(campaign: Campaign, material: Material) -> Resin | Colour | Compound:
    """The campaign's entry for a material."""
    kind, name = material
    if kind == "purging compound":
        compound = campaign.purging.compound
        assert compound is not None, "only what `at_start` names is looked up"
        return compound
    return campaign.resins[name] if kind == "resin" else campaign.colours[name]


def moulded_kg(work: Work) -> list[float]:
    """Melt in the run's shots, per barrel, runners included."""
    return [float(work.run.shots * grams / 1000) for grams in work.shot_g]


def changeover_startup_kg(work: Work) -> list[float]:
    """Melt in the start-up shots of the changeover, per barrel."""
    shots = work.run.changeover.startup_shots if work.run.changeover else 0
    return [float(shots * grams / 1000) for grams in work.shot_g]


def restart_kg(work: Work) -> list[float]:
    """Melt in the start-up shots of cold restarts, per barrel."""
    shots = sum(stretch.restart_shots for stretch in work.run.stretches)
    return [float(shots * grams / 1000) for grams in work.shot_g]


def purged_kg(work: Work) -> list[float]:
    """New melt purged before the run, per barrel: barrel and hot runner; purging compound left out."""
    found = [0.0] * work.barrels
    for purge in work.run.changeover.purges if work.run.changeover else []:
        if 1 <= purge.barrel <= work.barrels:
            found[purge.barrel - 1] += purge.kg - purge.compound_kg - purge.bridge_kg
    return found


def reopened_kg(work: Work) -> list[float]:
    """New melt purged in restarts after a closing, per barrel."""
    found = [0.0] * work.barrels
    for purge in (purge for stretch in work.run.stretches for purge in stretch.purges):
        if 1 <= purge.barrel <= work.barrels:
            found[purge.barrel - 1] += purge.kg
    return found


def bridges_kg(campaign: Campaign, work: Work) -> dict[Material, float]:
    """Resin that goes between two others before the run."""
    found: dict[Material, float] = defaultdict(float)
    for purge in work.run.changeover.purges if work.run.changeover else []:
        if purge.bridge in campaign.resins:
            found["resin", purge.bridge] += purge.bridge_kg
    return found


def closings_kg(campaign: Campaign, work: Work, closings: slice = slice(None)) -> dict[Material, float]:
    """Material -> kg that clears the run's melt at its closings, all or some of them."""
    found: dict[Material, float] = defaultdict(float)
    for stretch in work.run.stretches[closings]:
        for one in stretch.closing.cleared if stretch.closing else []:
            resin, _, colour = one.to.rpartition("/")
            if resin in campaign.resins and colour in campaign.colours:
                for material, share in made_of(campaign, (resin, colour)).items():
                    found[material] += share * one.kg
    return found


def cleared_kg(campaign: Campaign, work: Work) -> dict[Material, float]:
    """Material -> kg of bridges and closings together."""
    found = bridges_kg(campaign, work)
    for material, kg in closings_kg(campaign, work).items():
        found[material] = found.get(material, 0.0) + kg
    return found


def cleared(campaign: Campaign, work: Work) -> tuple[float, float]:
    """(kg, money for material) of a run's bridges and closings."""
    found = cleared_kg(campaign, work)
    money = sum(kg * bought(campaign, material).price_per_kg for material, kg in found.items())
    return sum(found.values()), money


def priced(campaign: Campaign, work: Work, per_barrel: list[float]) -> float:
    """Money for kilograms of a run's melts."""
    return sum(kg * price_of(campaign, melt) for melt, kg in zip(work.melts, per_barrel, strict=True))


def compound_kg(work: Work) -> float:
    """Purging compound used before the run."""
    return sum(purge.compound_kg for purge in (work.run.changeover.purges if work.run.changeover else []))


def compound_of(campaign: Campaign) -> Material | None:
    """The campaign's purging compound as a material."""
    compound = campaign.purging.compound
    return None if compound is None else ("purging compound", compound.name)


def at_start(campaign: Campaign, work: Work) -> dict[Material, float]:
    """Material -> kg that must be there when the run begins: melts without restarts, purging compound, bridges, and
    what clears its melt at its first closing."""
    found = of_materials(campaign, work, taken_by(work))
    for more in (bridges_kg(campaign, work), closings_kg(campaign, work, slice(1))):
        for material, amount in more.items():
            found[material] = found.get(material, 0.0) + amount
    compound, kg = compound_of(campaign), compound_kg(work)
    return found if compound is None or not kg else {**found, compound: kg}


def taken_by(work: Work) -> list[float]:
    """Melt that must be there when the run begins, per barrel: purges, start-up and shots, but no restarts."""
    kgs = zip(purged_kg(work), changeover_startup_kg(work), moulded_kg(work), strict=True)
    return [sum(barrel) for barrel in kgs]


def later(campaign: Campaign, work: Work) -> dict[Material, float]:
    """Material -> kg that the run takes after its start: restarts, and closings after the first with what follows."""
    found = of_materials(campaign, work, [a + b for a, b in zip(restart_kg(work), reopened_kg(work), strict=True)])
    for material, amount in closings_kg(campaign, work, slice(1, None)).items():
        found[material] = found.get(material, 0.0) + amount
    return found


def startup_kg(work: Work) -> list[float]:
    """Melt in all start-up shots, changeover and restarts, per barrel."""
    return [a + b for a, b in zip(changeover_startup_kg(work), restart_kg(work), strict=True)]


def of_materials(campaign: Campaign, work: Work, per_barrel: list[float]) -> dict[Material, float]:
    """Material -> kg for kilograms of the run's melts."""
    found: dict[Material, float] = defaultdict(float)
    for melt, kg in zip(work.melts, per_barrel, strict=True):
        for material, share in made_of(campaign, melt).items():
            found[material] += share * kg
    return found
