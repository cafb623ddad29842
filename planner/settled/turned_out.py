"""The campaign once it is known how a thing has turned out: what comes later has its likely day, and how sure that is;
nothing is left to settle about it.
"""

from datetime import timedelta
from typing import Any

from planner.campaign import Campaign
from planner.campaign.base import Arrival
from planner.campaign.common_case import uncertainty_of
from planner.campaign.uncertainty import FirstTrial, Fitted, Spread, ThreePoint, ToolUncertainty, Uncertainty
from planner.readiness import ready_of
from planner.settled.open_orders import decided
from planner.settled.recipes import with_recipes
from planner.settled.things import FAILS, SECTIONS, Thing, Turn, likely_days
from planner.settled.trial_money import trial_money


def turned_out(campaign: Campaign, thing: Thing, turn: Turn) -> Campaign:
    """The campaign in which the thing has turned out so."""
    unsure, _ = uncertainty_of(campaign)
    kind, _, name = thing.id.partition("/")
    if kind == "tool":
        unsure = _tried(campaign, unsure, name.rpartition("/")[0], turn)
    else:
        outcome = unsure.settled[name].outcomes[turn.id]
        for what, section in SECTIONS.items():
            for of, spread in getattr(outcome, section).items():
                unsure = _unsure_still(unsure, what, of, _around(spread))
        campaign = decided(with_recipes(campaign, turn), unsure.settled[name], turn.id)
        left = {one: said for one, said in unsure.settled.items() if one != name}
        unsure = unsure.model_copy(update={"settled": left})
    later = {of: days for of, days in turn.later.items() if days}
    update: dict[str, Any] = {"uncertainty": unsure, "tools": dict(campaign.tools)}
    if kind == "tool":  # it was not ready before the outcome was known, and nothing else says so any more
        tool = name.rpartition("/")[0]
        update["tools"][tool] = campaign.tools[tool].model_copy(update={"ready": ready_of(campaign, tool)})
    for (what, of), days in later.items():
        update |= _moved(campaign, update, what, of, days)
    return campaign.model_copy(update=update)


def _tried(campaign: Campaign, unsure: Uncertainty, tool: str, turn: Turn) -> Uncertainty:
    """Without the trial that is over; where it failed, with the rework, and with the next trial if that may fail."""
    said = unsure.tools[tool]
    trial = said.first_trial
    assert trial is not None
    update: dict[str, Any] = {"first_trial": None}
    if turn.id == FAILS:
        update["ready_days"] = _around(trial.rework_days)
        left = None if trial.most_failures is None else trial.most_failures - 1
        if left is None or left > 0:
            update["first_trial"] = FirstTrial(
                success_chance=trial.success_chance,
                rework_days=trial.rework_days,
                most_failures=left,
                cost=trial_money(campaign, trial),
            )
    return unsure.model_copy(update={"tools": unsure.tools | {tool: said.model_copy(update=update)}})


def _around(spread: Spread) -> Spread | None:
    """What is still not sure of days that are counted from the likely one; None: nothing is."""
    days = likely_days(spread)
    if isinstance(spread, Fitted):
        return Fitted(shape="normal", mean=0, sd=spread.sd)
    if spread.early == spread.late == days:
        return None
    early, late = spread.early - days, spread.late - days
    return ThreePoint(early=early, likely=min(max(spread.likely - days, early), late), late=late, shape=spread.shape)


def _unsure_still(unsure: Uncertainty, kind: str, name: str, spread: Spread | None) -> Uncertainty:
    """What else is said of it is of a day that no longer stands."""
    if kind == "tool":
        said = unsure.tools.get(name, ToolUncertainty())
        tools = unsure.tools | {name: said.model_copy(update={"ready_days": spread})}
        return unsure.model_copy(update={"tools": tools})
    section = f"{kind}_days"
    days = {of: one for of, one in getattr(unsure, section).items() if of != name}
    return unsure.model_copy(update={section: days if spread is None else days | {name: spread}})


def _moved(campaign: Campaign, update: dict[str, Any], kind: str, name: str, days: int) -> dict[str, Any]:
    """One thing so many calendar days later, at the same time by the clock on the wall."""
    late = timedelta(days=days)
    section = SECTIONS[kind]
    known = dict(update.get(section, getattr(campaign, section)))
    one = known[name]
    if kind == "tool":
        at = ready_of(campaign, name)
        steps = {} if at is None else {"ready": at + late}
        known[name] = one.model_copy(update=steps)
        return {section: known}
    arrivals = [Arrival(on=a.on + late, amount=a.amount) for a in one.arrivals]
    lead = None if one.lead_days is None else one.lead_days + days
    known[name] = one.model_copy(update={"arrivals": arrivals, "lead_days": lead})
    return {section: known}
