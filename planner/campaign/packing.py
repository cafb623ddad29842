"""What goes into a carton, the carton, and what the carrier and customs ask about it."""

from typing import Annotated

from pydantic import Field

from planner.campaign.base import Amount, Document, Positive
from planner.campaign.orders import CountryCode

Millimetres = Annotated[int, Field(ge=1, le=5000)]
Sides = Annotated[list[Millimetres], Field(min_length=3, max_length=3)]
"""Length, width and height in mm, outermost points."""


class Declared(Document):
    """What a customs declaration says of one unit."""

    value: Amount = Field(default=0, description="value of one unit, in the campaign's currency")
    hs_code: Annotated[str, Field(pattern=r"^\d{6,12}$")] | None = Field(
        default=None, description="commodity code of the Harmonized System, 6 to 12 digits; none: not known yet"
    )
    origin: CountryCode | None = Field(default=None, description="country of manufacture, ISO 3166-1 alpha-2")
    description: str = Field(default="", max_length=60, description="in plain words; none: its id")


class Packable(Document):
    """Size and mass of one unit as it goes into its carton."""

    packed_mm: Sides | None = Field(
        default=None, description="length, width, height ready for the carton, mm; none: takes no room worth counting"
    )
    stands: bool = Field(default=False, description="must stand on its base in the carton")
    mass_g: Amount | None = Field(
        default=None, description="mass of one unit, g; none: for a product its parts and pieces, for a piece 0"
    )
    declared: Declared = Declared()


class Carton(Document):
    """What makes a bought-in piece a carton."""

    inside_mm: Sides
    outside_mm: Sides | None = Field(
        default=None, description="none: 8 mm more than inside each way (board of 4 mm, common practice)"
    )
    tare_g: Positive = Field(description="mass of the empty carton, g")
    padding_mm: Annotated[int, Field(ge=0, le=500)] = Field(
        default=0, description="padding on each of its six sides, mm"
    )
    padding_g: Amount = Field(default=0, description="mass of that padding, g")
    max_kg: Positive | None = Field(default=None, description="gross mass it may hold, kg; none: no limit")


class RateStep(Document):
    """What one parcel costs up to a weight."""

    up_to_kg: Positive = Field(description="charged weight, kg")
    price: Amount = Field(description="money for one parcel")


class Rate(Document):
    """One carrier's tariff for where a parcel goes."""

    carrier: str = Field(default="", max_length=60, description="whose tariff it is, and which service, in words")
    to: list[str] = Field(
        default=[],
        max_length=300,
        description="countries (ISO 3166-1 alpha-2) and regions it is for; empty: wherever no other rate names",
    )
    steps: list[RateStep] = Field(min_length=1, max_length=200, description="by weight, rising")
    door_days: tuple[int, int] | None = Field(
        default=None, description="calendar days from the pick-up to the door, fewest and most; none: not said"
    )


class Carrier(Document):
    """The carrier's own figures: they come from its tariff, none is built in."""

    volumetric_divisor: Positive | None = Field(
        default=None, description="cubic centimetres that count as one kg, e.g. 5000; none: volume isn't charged"
    )
    step_kg: Amount = Field(default=0, description="charged weight is rounded up to a multiple of this; 0: not rounded")
    whole_cm: bool = Field(default=False, description="sides are rounded up to whole centimetres first")
    max_kg: Positive | None = Field(default=None, description="heaviest parcel taken, kg; none: no limit")
    longest_mm: Annotated[int, Field(ge=1, le=10_000)] | None = None
    girth_mm: Annotated[int, Field(ge=1, le=20_000)] | None = Field(
        default=None, description="most for length + 2 x width + 2 x height, mm"
    )
    rates: list[Rate] = Field(
        default=[],
        max_length=200,
        description="tariffs to choose from: each parcel goes by the cheapest that takes it; none: postage is no cost",
    )


class Customs(Document):
    """Where parcels leave from, for the facts a declaration asks for."""

    ships_from: CountryCode = Field(description="ISO 3166-1 alpha-2")
    sdr_rate: Positive | None = Field(
        default=None, description="campaign currency for one special drawing right; none: postal forms aren't told"
    )


class Labels(Document):
    """Numbers on the labels of parcels and pallets: serial shipping container codes of GS1, for who has a prefix."""

    gs1_prefix: Annotated[str, Field(pattern=r"^\d{4,12}$")] | None = Field(
        default=None, description="company prefix that GS1 gave out, 4 to 12 digits; none: labels carry no code"
    )
    serial_from: Annotated[int, Field(ge=0, le=999_999_999_999)] = Field(
        default=1, description="serial of the first label; go on from where the last campaign ended"
    )
    text: Annotated[str, Field(max_length=300)] = Field(
        default="", description="the maker's own, on each parcel's label: thanks, how to care for it, whom to ask"
    )
    extension: Annotated[int, Field(ge=0, le=9)] = 0
