"""What first trials on our presses take from stock: no run counts on it (RULES.md, S10.4)."""

from collections import defaultdict
from datetime import datetime, time, timedelta
from typing import Literal, NamedTuple

from planner.campaign import Campaign
from planner.campaign.hours import spans
from planner.campaign.melts import let_down

Kind = Literal["resin", "masterbatch"]


class TrialTakes(NamedTuple):
    """kg: what first trials take of a material. from_stock: of that, what is in stock for it; the rest is brought."""

    kg: float
    from_stock: float


def begins(campaign: Campaign, tool: str) -> datetime | None:
    """When a tool's first trial on one of the presses begins, by the clock on the wall; None: there is none."""
    said = campaign.uncertainty.tools.get(tool) if campaign.uncertainty is not None else None
    trial = said.first_trial if said is not None else None
    if trial is None or trial.on is None or trial.hours is None:
        return None
    day = trial.on.date() if isinstance(trial.on, datetime) else trial.on
    first = min((span.start for span in spans(trial.hours)), default=None)
    return None if first is None else datetime.combine(day, time()) + timedelta(minutes=first)


def trials_take(campaign: Campaign, since: datetime, until: datetime | None = None) -> dict[tuple[Kind, str], float]:
    """(kind, id) -> kg that first trials take which begin in that time, clock on the wall."""
    found: defaultdict[tuple[Kind, str], float] = defaultdict(float)
    for tool, said in campaign.uncertainty.tools.items() if campaign.uncertainty is not None else ():
        at = begins(campaign, tool)
        if said.first_trial is None or at is None or at < since or (until is not None and at >= until):
            continue
        for melt, kg in zip(said.first_trial.melts, said.first_trial.kg, strict=False):
            resin, _, colour = melt.rpartition("/")
            share = let_down(campaign, resin, colour)
            found["resin", resin] += kg * (1 - share)
            found["masterbatch", colour] += kg * share
    return {material: kg for material, kg in found.items() if kg > 0}


def taken_by_trials(campaign: Campaign) -> dict[tuple[Kind, str], TrialTakes]:
    """What trials take that are still to come as the campaign begins, and how much of it is in stock."""
    found = {}
    for (kind, name), kg in trials_take(campaign, campaign.start).items():
        bought = (campaign.resins if kind == "resin" else campaign.colours).get(name)
        found[kind, name] = TrialTakes(kg, min(kg, bought.stock_kg if bought is not None else 0.0))
    return found
