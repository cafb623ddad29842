"""Recipes that take another's place: the campaign with them, and what their melt costs more (RULES.md, S10.3)."""

from collections.abc import Mapping

from planner.campaign import Campaign
from planner.campaign.materials import Look
from planner.campaign.melts import melt_price
from planner.campaign.uncertainty import Recipe
from planner.schedule.encode import Names
from planner.schedule.instance import Instance
from planner.settled.things import Turn
from planner.wording import figure


def with_recipes(campaign: Campaign, turn: Turn) -> Campaign:
    """The campaign in which colours have the recipes of an outcome."""
    return recoloured(campaign, turn.recipes)


def recoloured(campaign: Campaign, recipes: Mapping[str, Recipe]) -> Campaign:
    """The campaign in which these colours have other recipes; how each is had stays as it is."""
    if not recipes:
        return campaign
    colours = dict(campaign.colours)
    for name, recipe in recipes.items():
        told = recipe.model_dump(exclude_none=True, exclude={"colour"})
        if recipe.colour is not None:
            as_one = campaign.colours[recipe.colour]
            told = {field: getattr(as_one, field) for field in ("let_down_percent", "price_per_kg", *Look.model_fields)}
            told["same_as"] = recipe.colour
        elif "hex" in told:  # whatever else said how it looks is of the recipe before
            told |= {"lab": None, "reflectance": None}
        colours[name] = colours[name].model_copy(update=told)
    return campaign.model_copy(update={"colours": colours})


def dearer_by(inst: Instance, names: Names, turn: Turn) -> float:
    """Money that the melt of all planned shots costs more with the recipes of an outcome; purges are in `looks`."""
    if not turn.recipes:
        return 0.0
    then = with_recipes(names.campaign, turn)
    money = 0.0
    for run in range(inst.run_tool.size):
        for barrel in range(2):
            melt = int(inst.run_melt[run, barrel])
            if melt >= 0:
                more = melt_price(then, names.melts[melt]) - melt_price(names.campaign, names.melts[melt])
                money += float(inst.run_shots[run] * inst.shot_kg[run, barrel]) * more
    return money


def recipe_words(campaign: Campaign, turn: Turn) -> list[str]:
    """Each recipe of an outcome in words: `sage: 3 in 100, 14 a kg`, or `third: as coral`."""
    found = []
    for name, recipe in turn.recipes.items():
        said = []
        if recipe.colour is not None:
            said.append(f"as {recipe.colour}")
        if recipe.let_down_percent is not None:
            said.append(f"{figure(recipe.let_down_percent)} in 100")
        if recipe.price_per_kg is not None:
            said.append(f"{figure(recipe.price_per_kg)} {campaign.currency} a kg")
        if recipe.hex is not None:
            said.append(f"looks like {recipe.hex}")
        found.append(f"{name}: {', '.join(said)}")
    return found
