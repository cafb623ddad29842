"""Several carriers, each with its own pick-ups; what lies between a hand-over and a door, such as a house abroad."""

from typing import Annotated

from pydantic import Field

from planner.campaign.base import Amount, Document
from planner.campaign.benches import PickUps
from planner.campaign.packing import Carrier

ELSEWHERE = "world"
"""The name of the region of all countries that no region names."""


class Leg(Document):
    """One leg of the way after the hand-over, before parcels go on one by one: at sea, at customs, by truck."""

    what: str = Field(min_length=1, max_length=60, description="in words, such as `at sea` or `customs`")
    days: tuple[int, int] = Field(description="calendar days it takes, fewest and most")


class Pallets(Document):
    """Parcels that a carrier takes by the pallet."""

    parcels: Annotated[int, Field(ge=1, le=100_000)] = Field(description="parcels that go on one pallet")
    price: Amount = Field(description="money for each pallet that leaves, one that is not full too")


class OwnCarrier(Carrier):
    """One of several carriers: where it goes, when it picks up, what lies between hand-over and local parcels."""

    to: list[str] = Field(
        default=[], max_length=300, description="countries and regions it takes parcels for; empty: all"
    )
    pick_ups: PickUps = PickUps()
    legs: list[Leg] = Field(
        default=[],
        max_length=20,
        description="one after the other, from the hand-over to where its rates' `door_days` begin; none: they begin "
        "at the hand-over",
    )
    pallets: Pallets | None = Field(default=None, description="none: parcels are taken one by one")

    @property
    def comes(self) -> bool:
        """Whether it ever picks anything up."""
        return bool(self.pick_ups.days or self.pick_ups.on_dates)

    @property
    def legs_days(self) -> tuple[int, int]:
        """Calendar days of all legs together, fewest and most."""
        return sum(leg.days[0] for leg in self.legs), sum(leg.days[1] for leg in self.legs)
