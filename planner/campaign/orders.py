"""Order lines: how many orders of a tier, in which colourways, to where."""

from typing import Annotated

from pydantic import Field

from planner.campaign.base import Document, Id

CountryCode = Annotated[str, Field(pattern=r"^[A-Z]{2}$")]


class Gone(Document):
    """What each of an order line's orders has got already, in parcels that left before."""

    parcels: Annotated[int, Field(ge=1, le=19)] = 1
    units: dict[Id, list[Id]] = Field(default={}, max_length=20, description="product -> the colourway of each unit")
    pieces: dict[Id, Annotated[int, Field(ge=1, le=1000)]] = Field(default={}, max_length=50)


class OrderLine(Document):
    """One line of the order book; `count` orders that are alike, each of them one parcel."""

    ref: str = Field(default="", max_length=60, description="the maker's own reference; no names or addresses")
    tier: Id
    units: dict[Id, list[Id]] = Field(
        min_length=1,
        max_length=20,
        description="product -> the colourway of each unit, as many as the tier holds",
    )
    extra_units: dict[Id, list[Id]] = Field(default={}, max_length=20, description="units beyond the tier, as add-ons")
    extra_pieces: dict[Id, Annotated[int, Field(ge=1, le=1000)]] = Field(
        default={}, max_length=50, description="bought-in pieces beyond the tier, as add-ons"
    )
    country: CountryCode = Field(default="GB", description="ISO 3166-1 alpha-2")
    count: Annotated[int, Field(ge=1, le=1_000_000)] = 1
    gone: Gone | None = Field(default=None, description="what has left of each of these orders; none: nothing yet")
