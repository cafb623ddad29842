"""How long and towards what the planner searches."""

from typing import Annotated, Literal, get_args

from pydantic import Field

from planner.campaign.base import Document, Id
from planner.campaign.order_of_work import OrderOfWork, Told

Policy = Literal["as planned", "first ready", "plan again"]
"""What a workshop does when a tool is late."""

POLICIES: tuple[Policy, ...] = get_args(Policy)

Aim = Literal["cost", "soonest", "waste", "cost if all goes well"]


class MadeBy(Document):
    """Shots that one of several tools makes of a part in given colours."""

    tool: Id
    colours: list[Id] = Field(min_length=1, max_length=2)
    shots: Annotated[int, Field(ge=0, le=1_000_000_000)]


class MadeAt(Document):
    """The place at which a tool works whose presses stand at several."""

    tool: Id
    place: Id | None = Field(default=None, description="none: our own floor")


class Planning(Document):
    """The budget and the aim of the search."""

    aim: Aim = Field(
        default="cost",
        description="least cost (on average, where the campaign says what is unsure), soonest finished, least purge "
        "waste, or least cost if all goes well",
    )
    when_late: Policy | None = Field(
        default=None,
        description="what the workshop does when a tool is late: as planned, its press keeps the order and waits; "
        "first ready, the press takes the next run whose tool is there; plan again, it does what costs least by what "
        "is known then: waits, takes one of its runs or one of another press; none: whichever costs less on average, "
        "and plan again only if it does by more than chance explains",
    )
    kg_per_day: Annotated[float, Field(gt=0, le=1e6)] | None = Field(
        default=None,
        description="with the aim `waste`: kg of purge and start-up waste that the last dispatch a day sooner is worth"
        "; none: no kilogram for any day",
    )
    seconds: Annotated[float, Field(gt=0, le=3600)] = Field(default=20, description="time budget of the search")
    rounds: Annotated[int, Field(ge=0, le=100_000_000)] | None = Field(
        default=None,
        description="a budget in search rounds instead: the same seed and rounds give the same plan",
    )
    gap: Annotated[float, Field(ge=0, lt=1)] = Field(
        default=0,
        description="stop when at most this share of what the order of work decides could still be saved: (cost - "
        "proven lower bound) / (cost - material, pieces, labour and postage)",
    )
    seed: Annotated[int, Field(ge=0, le=2**31 - 1)] = 1
    made_by: list[MadeBy] = Field(
        default=[],
        max_length=5000,
        description="who makes how many, where several tools make one part; topped up or cut to what is enough. none: "
        "the search decides",
    )
    made_at: list[MadeAt] = Field(
        default=[],
        max_length=5000,
        description="where tools work whose presses stand at several places, with all that hang together with them. "
        "none: the search decides",
    )
    begin_from: OrderOfWork | None = Field(
        default=None, description="an order of work to start from, e.g. that of the plan this one is a variant of"
    )
    told: Told | None = Field(
        default=None, description="what people were told of `begin_from`, and what it costs to go back on it"
    )
