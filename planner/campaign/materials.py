"""Resins, and colours with their masterbatch."""

from typing import Annotated, Literal

from pydantic import Field

from planner.campaign.base import Amount, Arrival, Count, Document, HexColour, Id, Positive, Share
from planner.campaign.payment import PaymentTerms

Finish = Literal["solid", "metallic", "pearlescent", "translucent", "natural"]


Degrees = Annotated[float, Field(ge=20, le=500, allow_inf_nan=False)]


class WeightBreak(Document):
    """From how many kg on an order costs less for each."""

    kg: Positive
    price_per_kg: Amount = Field(description="money for each kg of the whole order")


class Bought(PaymentTerms):
    """How something bought by weight is had: stock, deliveries agreed, and what a new order takes."""

    price_per_kg: Amount = 0
    stock_kg: Amount = Field(default=0, description="in hand at the start, kg")
    arrivals: list[Arrival] = Field(default=[], max_length=200, description="deliveries already agreed")
    lead_days: Count | None = Field(
        default=None, description="calendar days from order to door; none: no more can be bought"
    )
    bag_kg: Positive = Field(default=25, description="sold in bags of this many kg")
    min_order_kg: Amount = Field(default=0, description="smallest order, kg")
    price_breaks: list[WeightBreak] = Field(
        default=[],
        max_length=50,
        description="an order is as large as costs least in all, by what is moulded; what purges add has its price",
    )

    @property
    def can_be_had(self) -> bool:
        """Whether there is or will be any of it."""
        return self.stock_kg > 0 or bool(self.arrivals) or self.lead_days is not None


class Resin(Bought):
    """A moulding material."""

    family: str = Field(
        default="other",
        max_length=60,
        description="ISO 1043-1 abbreviation or its common word: PP, PE, TPE, ABS, PC, PA66, PS, POM (acetal), PVC "
        "(vinyl), ...; other: unknown, so kept from POM, from PVC and from others that are unknown",
    )
    halogenated_flame_retardant: bool | None = Field(
        default=None, description="true: never near POM; none: no, unless id or family speak of flame retardance"
    )
    neither_acetal_nor_halogenated: bool = Field(
        default=False,
        description="true: its data sheet was read and it holds no acetal, chlorine, bromine or fluorine: for a family "
        "that the planner does not know",
    )
    melt_c: tuple[Degrees, Degrees] | None = Field(
        default=None, description="lowest and highest melt temperature, degrees C; none: its family's"
    )
    survives_c: Degrees | None = Field(
        default=None,
        description="hottest it stands for the minutes of a changeover, degrees C; none: its family's, else the top of "
        "`melt_c`; never counted above what acetal or PVC stand",
    )
    stands_cold: bool | None = Field(
        default=None,
        description="whether it may be left in a barrel that is shut down; none: as its family. Acetal and PVC never",
    )
    drying_hours: Amount = Field(default=0, description="hours to dry before use")
    drying_c: Amount | None = Field(default=None, description="drying temperature, degrees C")
    dryer: Id | None = Field(
        default=None, description="the dryer it goes through, where several share one: one resin at a time"
    )
    dryer_kg: Positive | None = Field(
        default=None,
        description="most the dryer holds of it, kg; none: not known, so not checked against what is drawn",
    )
    dried_keeps_hours: Positive | None = Field(
        default=None,
        description="hours that it may stay in its dryer once dry, closed and in dry air, before it is moulded; none: "
        "its family's, else 12. Hours in which it would have to stay longer are refused",
    )
    melt_density: Positive | None = Field(
        default=None, description="g/cm3 as melt: decides how fast a screw purges it; none: its family's"
    )
    regrind_share: Share = Field(default=0, description="most regrind in the melt, as a share of its mass")
    natural_colour: Id | None = Field(default=None, description="the colour id that means: no masterbatch")


Lightness = Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)]
Opponent = Annotated[float, Field(ge=-150, le=150, allow_inf_nan=False)]


class Look(Document):
    """How a colour looks: give one of hex, lab or reflectance where purge is to be estimated."""

    hex: HexColour | None = Field(default=None, description="sRGB, e.g. #8fae8b")
    lab: tuple[Lightness, Opponent, Opponent] | None = Field(
        default=None, description="CIELAB under D65, 2 degrees: L* 0 to 100, a* and b* within 150"
    )
    reflectance: list[Annotated[float, Field(gt=0, le=1)]] | None = Field(
        default=None, min_length=31, max_length=31, description="400 to 700 nm in steps of 10 nm"
    )
    finish: Finish = "solid"
    strength: Annotated[float, Field(ge=0.01, le=100)] = Field(
        default=1.0, description="how strongly the pigment colours others (1: an average masterbatch)"
    )


class Colour(Bought, Look):
    """A colour as its masterbatch."""

    let_down_percent: Annotated[float, Field(ge=0, lt=100)] = Field(
        default=2.0, description="masterbatch mass in 100 of coloured mass (2: 2 in 100, not 2 on 100)"
    )
    bag_kg: Positive = Field(default=5, description="sold in bags of this many kg")
    same_as: Id | None = Field(
        default=None,
        description="the colour whose masterbatch it is too: between the two nothing is purged. Reading writes it for "
        "colours that are open",
    )
    reference: Annotated[str, Field(max_length=100)] = Field(
        default="", description="what the maker calls it in a colour book, as text: nothing is worked out from it"
    )


class ForbiddenPair(Document):
    """Two resins that must never meet in one barrel, dryer or hot runner, beyond those always enforced."""

    one: Id
    other: Id
    why: str = Field(default="", max_length=200)
