"""What is in stock for runs: first trials on our presses take theirs from it, read anew from the campaign (S10.4)."""

from datetime import datetime

from planner.audit import masses
from planner.audit.case import Case
from planner.audit.figures import exact
from planner.audit.masses import Material
from planner.campaign.hours import spans


def for_trials(case: Case, material: Material) -> tuple[float, float]:
    """(kg that first trials take of a material from the campaign's start on, kg of that in stock)."""
    found: dict[Material, float] = case.once("for trials", lambda: _for_trials(case))
    kg = found.get(material, 0.0)
    return kg, min(kg, masses.bought(case.campaign, material).stock_kg)


def in_stock(case: Case, material: Material) -> float:
    """Kg that runs may take from stock."""
    return masses.bought(case.campaign, material).stock_kg - for_trials(case, material)[1]


def _for_trials(case: Case) -> dict[Material, float]:
    campaign, found = case.campaign, dict[Material, float]()
    for said in campaign.uncertainty.tools.values() if campaign.uncertainty else ():
        trial = said.first_trial
        if trial is None or not trial.kg or trial.on is None or not trial.hours:
            continue
        day = trial.on.date() if isinstance(trial.on, datetime) else trial.on
        begin = min(case.clock.minute_of_day(day, span.start) for span in spans(trial.hours))
        if begin < case.start:
            continue
        for melt, kg in zip(trial.melts, trial.kg, strict=True):
            resin, _, colour = melt.rpartition("/")
            own = campaign.resins[resin].natural_colour == colour
            share = 0.0 if own else float(exact(campaign.colours[colour].let_down_percent) / 100)
            parts: list[tuple[Material, float]] = [(("resin", resin), 1 - share), (("masterbatch", colour), share)]
            for material, part in parts:
                found[material] = found.get(material, 0.0) + kg * part
    return found
