"""What the floor's log says of things that were to be settled on a day: the campaign once they are, and the branch of
the plan to go on with."""

from planner.actuals.entries import Actuals, ShotsMade, ToolNews, TurnedOut
from planner.campaign import Campaign
from planner.campaign.order_of_work import OrderOfWork
from planner.plan.document import RunPlan
from planner.plan.order_of_work import order_of
from planner.settled import thing_of, things, turned_out
from planner.settled.as_read import order_of_branch
from planner.settled.open_orders import as_decided


def settled_by(campaign: Campaign, actuals: Actuals, notes: list[str]) -> Campaign:
    """The campaign in which all has turned out as the log says, the last word counts; what should be settled by now and
    is not in the log is counted on as before, and noted."""
    said = {e.thing: e.outcome for e in sorted(actuals.entries, key=lambda e: e.at) if isinstance(e, TurnedOut)}
    for name, outcome in said.items():
        thing = thing_of(campaign, name)
        if thing is not None:
            campaign = turned_out(campaign, thing, next(turn for turn in thing.turns if turn.id == outcome))
    campaign = _here(campaign, actuals)
    for thing in things(campaign):
        at = thing.known.isoformat()
        if at <= actuals.as_of.isoformat():
            notes.append(
                f"{thing.about} was to be known by {at[:10]}: nobody wrote it down, so it counts as still open"
            )
    return campaign


def _here(campaign: Campaign, actuals: Actuals) -> Campaign:
    """A tool that is here and good, or has run, needs no trial any more."""
    here = {
        e.tool for e in actuals.entries if isinstance(e, ShotsMade) or (isinstance(e, ToolNews) and e.ready is None)
    }
    unsure = campaign.uncertainty
    if unsure is None or not any(unsure.tools[tool].first_trial for tool in here & set(unsure.tools)):
        return campaign
    tools = {
        name: said.model_copy(update={"first_trial": None}) if name in here else said
        for name, said in unsure.tools.items()
    }
    return campaign.model_copy(update={"uncertainty": unsure.model_copy(update={"tools": tools})})


def _in_its_colours(order: OrderOfWork, campaign: Campaign, thing: str, outcome: str) -> OrderOfWork:
    """Runs of open orders are runs of the colour that was settled."""
    kind, _, name = thing.partition("/")
    said = campaign.uncertainty.settled.get(name) if kind == "settled" and campaign.uncertainty is not None else None
    return order if said is None else as_decided(order, said, outcome)


def order_now(campaign: Campaign, plan: RunPlan, actuals: Actuals) -> OrderOfWork:
    """The plan's order of work; where the log says how its branches turned out, that of the branch."""
    told = plan.outcome.expected.branches if plan.outcome.expected is not None else None
    if told is not None:
        log = sorted(actuals.entries, key=lambda e: e.at)
        said = [e.outcome for e in log if isinstance(e, TurnedOut) and e.thing == told.thing]
        for branch in told.branches:
            if said and branch.id == said[-1]:
                return _in_its_colours(order_of_branch(plan, branch), campaign, told.thing, branch.id)
    return order_of(plan)
