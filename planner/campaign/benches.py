"""Benches and pick-ups."""

from datetime import date
from typing import Annotated, Literal

from pydantic import Field

from planner.campaign.base import Amount, Document, Id, TimeOfDay
from planner.campaign.hours import Open

Day = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
WEEKDAYS: list[Day] = ["mon", "tue", "wed", "thu", "fri"]


class Bench(Open):
    """A place where people work by hand; all people there work on the same batch."""

    people: Annotated[int, Field(ge=1, le=1000)] = Field(
        default=1, description="people there whenever it is open, unless a span says otherwise"
    )
    rate_per_hour: Amount = Field(default=0, description="money per person and hour")
    place: Id | None = Field(default=None, description="one of `places` where it stands; none: on our own floor")


class PackBench(Bench):
    """The bench where parcels are packed."""

    batch_parcels: Annotated[int, Field(ge=1, le=100_000)] = Field(
        default=100, description="most parcels packed in one go"
    )


class PickUps(Document):
    """When parcels leave."""

    days: list[Day] = Field(default=["fri"], max_length=7)
    time: TimeOfDay = Field(default="16:00", description="wall-clock time of the pick-up")
    parcels: Annotated[int, Field(ge=1, le=10_000_000)] = Field(
        default=100_000, description="most parcels one pick-up takes"
    )
    on_dates: list[date] = Field(default=[], max_length=400, description="extra pick-up days")
    not_on: list[date] = Field(default=[], max_length=400, description="days without a pick-up")


class Floor(Document):
    """What the whole workshop shares."""

    setters: Annotated[int, Field(ge=1, le=100)] = Field(default=1, description="changeovers that can go on at once")
    setter_rate_per_hour: Amount = 0
    operators: Annotated[int, Field(ge=0, le=1000)] = Field(
        default=0, description="people who can stay at presses at once, for tools that ask for it (`operators`)"
    )
    operator_rate_per_hour: Amount = Field(
        default=0, description="money per hour of moulding for each of those who stay at a press"
    )
    attended: Open | None = Field(
        default=None,
        description="when somebody is there to set up, purge, take first shots and clear barrels; none: whenever a "
        "press is open",
    )
    dryer_cleaning_minutes: Amount = Field(
        default=20,
        description="to empty and clean a dryer before another resin goes in, at the setters' rate (usual, no source)",
    )
    price_per_kwh: Amount = Field(default=0, description="money for a kWh of what presses draw (`draws_kw`)")
    disposal_per_kg: Amount = Field(default=0, description="money to get rid of a kg of purge and start-up waste")
