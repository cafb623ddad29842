"""Plan parts about what goes out: split orders, parcels in cartons, pallets, customs. Sides in mm, masses in kg."""

from datetime import datetime
from typing import Literal

from pydantic import Field

from planner.plan.base import PlanPart


class Laid(PlanPart):
    """How one thing lies in the carton: nearest corner and extent, by length, width, height, inside the padding."""

    thing: str = Field(description="product or bought-in piece")
    at_mm: tuple[int, int, int]
    sides_mm: tuple[int, int, int]


class ParcelBox(PlanPart):
    """Each parcel of a pack batch in its carton."""

    carton: str = Field(description="bought-in piece; one a parcel, among the batch's pieces")
    inside_mm: tuple[int, int, int]
    outside_mm: tuple[int, int, int]
    gross_kg: float = Field(description="contents, carton and padding")
    volumetric_kg: float = Field(description="outside volume over the carrier's divisor; 0: the carrier has none")
    charged_kg: float = Field(description="the larger of the two, rounded up as the carrier does")
    layout: list[Laid] = Field(description="one way in which all of it fits; things without a size left out")


class PalletLoad(PlanPart):
    """Parcels on EUR pallets, 1200 x 800."""

    pallets: int
    per_layer: int
    per_pallet: int
    last: int = Field(description="parcels on the last pallet")
    height_mm: int = Field(description="of the fullest pallet, deck included")
    gross_kg: float = Field(description="of the fullest pallet, its own weight included")
    deck_kg: float = Field(default=25.0, description="of that, the pallet itself")


class DispatchPallets(PlanPart):
    """The parcels of one pick-up in one kind of carton, batches together, on EUR pallets."""

    carton: str
    parcels: int
    parcel_kg: float = Field(description="gross, of the heaviest of them")
    load: PalletLoad


class CustomsFacts(PlanPart):
    """All parcels for one country. Facts for whoever fills in the declaration, no customs ruling."""

    country: str = Field(description="ISO 3166-1 alpha-2")
    name: str
    parcels: int
    value: float = Field(description="declared value of all parcels, campaign currency")
    dearest: float = Field(description="highest declared value of one parcel")
    gross_kg: float | None = Field(description="all parcels; null: not all of them have a carton")
    heaviest_kg: float | None
    border: bool = Field(description="whether a customs border lies between, as far as country codes tell")
    forms: dict[str, int] = Field(description="postal form -> parcels; empty: no border, no rate, or no weights")
    missing: list[str] = Field(description="what a declaration would still need")
    note: str


class OtherChoice(PlanPart):
    """What shipping the tier the other way would change, with the runs of this plan as they stand."""

    ship: Literal["in parts", "whole"]
    cost_change: float = Field(description="money more than this plan's, less if negative")
    first_dispatch: datetime
    last_dispatch: datetime


class SplitDates(PlanPart):
    """A tier whose maker says what split shipment costs: what is split, by when its parts leave, the other choice."""

    ship: Literal["in parts", "whole"]
    orders: int = Field(description="orders that go out in more than one parcel")
    extra_parcels: int = Field(description="parcels beyond the first of each order")
    extra_postage: float
    first_parts: datetime | None = Field(description="when each of these orders' first parcel has left; null: none")
    last_parts: datetime | None = Field(description="when each of their last parcels has left")
    other: OtherChoice | None = Field(default=None, description="null: it can't be carried out with these runs")
