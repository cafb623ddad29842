"""The promise as a document: dates with how sure they are, what drives them, and the base rate beside them."""

from datetime import date
from typing import Literal

from pydantic import ConfigDict, Field

from planner.campaign.planning import Policy
from planner.plan.base import PlanPart

Asked = Literal["of the plan", "as planned", "first ready", "plan again"]
CONFIDENCE = 0.8
"""How sure the date to announce shall be, where nobody says."""


class Dates(PlanPart):
    """Days of a last dispatch: half of the replications, four in five and nineteen in twenty are done by then.

    null: that many replications are not done before the calendars end or for want of material that cannot be bought.
    """

    planned: date = Field(description="as the plan has it, if all goes as planned")
    p50: date | None
    p80: date | None
    p95: date | None


class Driver(PlanPart):
    """Something not sure that spreads a date."""

    rank: int = Field(description="1: spreads it most")
    factor: str
    about: str = Field(description="in words")
    correlation: float = Field(description="Spearman's rank correlation with the moment the last parcel is packed")
    days: float = Field(
        description="mean of the fifth of replications where it goes worst less mean of the best fifth, days"
    )


class LeastLoss(PlanPart):
    """The day to announce that costs least on average, where announcing too late has a price too."""

    day: date | None = Field(description="null: so many replications are never done")
    fractile: float = Field(description="late_cost_per_day / (late_cost_per_day + early_cost_per_day)")
    expected_loss: float | None = Field(description="money a parcel: days it leaves later, days announced in vain")


class AtTheDoor(PlanPart):
    """Days of a last parcel at the door: legs and the local parcel drawn as well."""

    p50: date | None
    p80: date | None
    p95: date | None
    announce: date | None = Field(description="the day to announce at the confidence asked for")


class RegionPromise(PlanPart):
    """One tier's last dispatch to one region."""

    region: str
    parcels: int
    promised: date | None = Field(
        default=None, description="what is promised there: the day of the hand-over, or at the door; null: nothing"
    )
    chance: float | None
    door: AtTheDoor | None = Field(default=None, description="null: some way to a door is not known")
    dates: Dates
    announce: date | None = Field(description="the day to announce at the confidence asked for")
    least_loss: LeastLoss | None = Field(description="null: the campaign gives no price for announcing too late")


class TierPromise(PlanPart):
    """One tier's last dispatch."""

    tier: str
    parcels: int
    promised: date | None = Field(description="day by which the last of it should have left")
    promised_to: Literal["hand-over", "door"] = Field(default="hand-over", description="what days are promised of")
    chance: float | None = Field(
        description="share of replications in which every parcel leaves, or is at the door, by the promised day"
    )
    door: AtTheDoor | None = Field(default=None, description="null: some way to a door is not known")
    dates: Dates
    announce: date | None = Field(description="the day to announce at the confidence asked for")
    least_loss: LeastLoss | None = Field(
        default=None, description="null: the campaign gives no price for announcing too late"
    )
    regions: list[RegionPromise] = Field(default=[], description="by region, as parcels are cut")
    drivers: list[Driver]


class GroupPromise(PlanPart):
    """Orders alike in tier, region and contents."""

    tier: str
    region: str
    part: int = Field(default=1, description="which of its orders' parcels, from 1")
    parts: int = Field(default=1, description="parcels in which each of its orders goes out; 1: whole")
    contents: dict[str, dict[str, int]] = Field(description="per parcel: product -> colourway -> units")
    parcels: int
    chance: float | None
    dates: Dates


class BaseRate(PlanPart):
    """What happened to other people's campaigns."""

    text: str
    source: str


class Taken(PlanPart):
    """A figure of the common case: common practice, no source."""

    about: str
    early: float
    likely: float
    late: float
    unit: str


class Promise(PlanPart):
    """Thousands of replications, read off."""

    model_config = ConfigDict(serialize_by_alias=True)

    document: Literal["promise/1"] = "promise/1"
    replications: int = Field(alias="floors")
    seed: int
    policy: Policy
    confidence: float
    basis: Literal["as given", "common case"] = Field(
        description="common case: the campaign says nothing about what is not sure, so common practice was taken"
    )
    taken: list[Taken] = Field(
        default=[], description="the common case's figures; empty where the campaign has its own"
    )
    left_out: list[str] = Field(default=[], description="what these dates do not allow for, in words")
    not_done: float = Field(description="share of replications that could not be carried out to the end")
    on_time: float | None = Field(description="share of replications in which every promised tier leaves in time")
    tiers: list[TierPromise]
    groups: list[GroupPromise]
    base_rate: list[BaseRate]
