"""Kilograms to purge that no number of shots gets through: a slip of the pen in a mass, before it is a plan."""

from collections.abc import Iterator

from planner.campaign.document import Campaign
from planner.campaign.fit import fitting, shot_mass_g
from planner.campaign.pointers import pointer
from planner.campaign.purging import MOST_SHOTS, Purging
from planner.errors import Problem
from planner.reading.checks.names import Steps

MOST_HOLD_UPS = 25
"""No colour takes more to wash out: see `planner.purge.tolerance.SMALLEST_FRACTION`."""

LARGEST_FACTOR = 100
"""No log makes a barrel's factor larger without being set aside or confirmed by hand."""


def too_heavy(masses: Iterator[tuple[Steps, float]], shot_g: float) -> Iterator[Problem]:
    """Those of (place in the document, kg) that take too many shots of `shot_g` g, whatever factor the log gives."""
    for steps, kg in masses:
        if kg * 1000 > MOST_SHOTS / LARGEST_FACTOR * shot_g:
            yield Problem(
                pointer(*steps),
                f"{kg:.3g} kg to purge take {kg * 1000 / shot_g:.2g} shots of {shot_g:g} g",
                "correct this figure or the mass of a shot; shots are in grams, all else in kilograms",
            )


def masses_of(purging: Purging, held_kg: float) -> Iterator[tuple[Steps, float]]:
    """Every mass that the purging section brings to a barrel and hot runner of `held_kg` kg, and where it stands."""
    here: Steps = ("purging",)
    yield (*here, "resin_change_holdups"), purging.resin_change_holdups * held_kg
    for n, change in enumerate(purging.resin_changes):
        yield (*here, "resin_changes", n, "holdups"), change.holdups * held_kg
    for n, given in enumerate(purging.given):
        yield (*here, "given", n, "kg"), given.kg
    for n, logged in enumerate(purging.log):
        yield (*here, "log", n, "kg"), logged.kg or 0.0
        yield (*here, "log", n, "shots"), (logged.shots or 0) * (logged.shot_g or 0.0) / 1000
    if purging.compound is not None:
        compound = purging.compound
        yield (*here, "compound", "holdups"), compound.holdups * held_kg
        yield (*here, "compound", "rinse_holdups"), compound.rinse_holdups * held_kg
        for n, pair in enumerate(compound.given):
            yield (*here, "compound", "given", n, "kg"), pair.kg
            yield (*here, "compound", "given", n, "rinse_kg"), pair.rinse_kg


def check(campaign: Campaign) -> list[Problem]:
    """Each mass against the smallest shot it may be purged with."""
    found: dict[str, Problem] = {}
    for tool_id, tool in campaign.tools.items():
        for press in fitting(campaign, tool_id):
            for k, shot_g in enumerate(shot_mass_g(campaign, tool)):
                if shot_g <= 0:
                    continue
                held = campaign.presses[press].barrels[k].holdup_kg
                hot = tool.hot_runner_kg[k] if k < len(tool.hot_runner_kg) else 0.0
                for problem in too_heavy(_masses(campaign.purging, tool_id, press, k, held, hot), shot_g):
                    found.setdefault(problem.pointer, problem)
    return list(found.values())


def _masses(purging: Purging, tool: str, press: str, k: int, held: float, hot: float) -> Iterator[tuple[Steps, float]]:
    yield ("presses", press, "barrels", k, "holdup_kg"), MOST_HOLD_UPS * held
    yield ("tools", tool, "hot_runner_kg", k), MOST_HOLD_UPS * hot
    yield from masses_of(purging, max(held, hot))
