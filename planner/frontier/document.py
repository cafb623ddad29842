"""The trade-off list as a document. Masses in kg, money in the campaign's currency, moments with the zone's offset."""

from datetime import datetime
from typing import Literal

from pydantic import Field

from planner.plan.base import PlanPart


class Point(PlanPart):
    """One plan: what it wastes, when its last parcel leaves, what it costs."""

    plan: str = Field(description="id of the plan")
    title: str
    waste_kg: float = Field(description="purge and start-up material")
    purge_kg: float
    last_dispatch: datetime
    cost: float
    late_parcels: int
    audited: bool = Field(description="true: the plan was written out and holds under A1 to A14")


class Step(PlanPart):
    """From one point to the next, sooner one."""

    days: int = Field(description="calendar days by which the last dispatch comes sooner")
    hours: float = Field(description="the same to the hour")
    kg: float = Field(description="waste it costs in addition")
    money: float = Field(description="cost it adds; below zero: it saves")
    kg_per_day: float | None = Field(description="null: sooner by less than a calendar day")
    words: str


class Frontier(PlanPart):
    """The plans that no other of those made beats in both waste and last dispatch, least waste first.

    Each comes from a search that ends with its budget: a longer one may move a point, never make it untrue.
    """

    document: Literal["frontier/1"] = "frontier/1"
    currency: str
    points: list[Point]
    steps: list[Step] = Field(description="one between each point and the next")
    beaten: list[Point] = Field(description="plans that another one beats or equals in both")
    waiting: int = Field(default=0, description="plans asked for that are not made yet")
    failed: int = Field(default=0, description="plans asked for that could not be made; each says why")
    words: str
