"""A plan that a test knows, changed where the test says, or the campaign beside it."""

from collections.abc import Callable
from datetime import datetime, timedelta
from functools import cache
from typing import Any

from examples.situations import campaign_of, plan_of
from planner.campaign import Campaign
from planner.plan.document import RunPlan
from tests.support.assertions import broken_rules

Json = dict[str, Any]
Spoil = Callable[[Json, Json], None]
"""Changes a campaign and its plan, JSON."""

situation_plan = cache(plan_of)
"""The plan of a situation, made once."""


def spoilt(campaign: Campaign, plan: RunPlan, change: Spoil) -> tuple[Campaign, RunPlan]:
    """Both documents anew, changed."""
    first = campaign.model_dump(mode="json", by_alias=True, exclude_unset=True)
    second = plan.model_dump(mode="json", by_alias=True)
    change(first, second)
    return Campaign.model_validate(first), RunPlan.model_validate(second)


def broken_by(
    situation: str, plan: Callable[[Json], None] | None, campaign: Callable[[Json], None] | None = None
) -> set[str]:
    """Rules that the situation's plan breaks once it, or the campaign beside it, is spoilt."""

    def change(asked: Json, told: Json) -> None:
        if plan is not None:
            plan(told)
        if campaign is not None:
            campaign(asked)

    return broken_rules(*spoilt(campaign_of(situation), situation_plan(situation), change))


def moved(moment: str, hours: float) -> str:
    return (datetime.fromisoformat(moment) + timedelta(hours=hours)).isoformat()


def of_campaign(value: object, *path: str | int) -> Spoil:
    """The campaign says something else there."""

    def change(campaign: Json, _: Json) -> None:
        at: Any = campaign
        for step in path[:-1]:
            at = at[step]
        at[path[-1]] = value

    return change


def costs_more(what: str) -> Spoil:
    """A cost line is one unit of money dearer."""

    def change(_: Json, plan: Json) -> None:
        next(line for line in plan["costs"] if line["what"] == what)["amount"] += 1

    return change


def paid_on(what: str, day: str) -> Spoil:
    """The first payment of that kind is due on another day."""

    def change(_: Json, plan: Json) -> None:
        next(line for line in plan["cash"] if line["what"] == what)["on"] = day

    return change
