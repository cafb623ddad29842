"""Parts, bought-in pieces, products with their colourways, and tiers."""

from datetime import date
from typing import Annotated, Literal

from pydantic import Field

from planner.campaign.base import Amount, Arrival, Count, Document, Id, Positive, Share
from planner.campaign.finishing import Finishing
from planner.campaign.inspection import Inspection
from planner.campaign.packing import Carton, Packable
from planner.campaign.payment import PaymentTerms

Surface = Literal["visible", "hidden"]


class PartBarrel(Document):
    """What a part takes from one barrel."""

    resin: Id
    mass_g: Positive = Field(description="mass of one part from this barrel, g")


class PartStock(Document):
    """Good parts already in hand."""

    colours: list[Id] = Field(min_length=1, max_length=2)
    count: Count
    finished: bool = Field(
        default=True,
        description="false: moulded, and the way here from another place, and all that its part's `finishing` asks "
        "for, still to come",
    )


class TakenPart(Document):
    """A moulded part that goes into the mould of another."""

    part: Id
    colours: list[Id] = Field(min_length=1, max_length=2, description="one per barrel of it")
    number: Annotated[int, Field(ge=1, le=1000)] = Field(default=1, description="for each part moulded over it")


class MouldedOver(Document):
    """What is put into the mould before each shot, by hand or by a robot."""

    parts: list[TakenPart] = Field(default=[], max_length=20)
    pieces: dict[Id, Annotated[int, Field(ge=1, le=1000)]] = Field(
        default={}, max_length=20, description="bought-in pieces, e.g. threaded inserts, for each part"
    )


class Part(Document):
    """A moulded part. In given colours, one per barrel it uses, it is a moulded item."""

    barrels: list[PartBarrel] = Field(min_length=1, max_length=2, description="a two-shot part has two")
    surface: Surface = Field(
        default="visible", description="how clean a colour change must be: a visible face, or hidden"
    )
    rest_hours: Amount = Field(default=0, description="hours from press to bench, e.g. for shrinkage")
    moulded_over: MouldedOver | None = Field(
        default=None, description="parts and bought-in pieces that its shots are moulded over; none: nothing"
    )
    finishing: Finishing = Field(
        default=[],
        description="what is done to it between press and assembly, in order: at other firms first, then on benches of "
        "our own",
    )
    spare_share: Share = Field(default=0, description="extra parts on top of the orders, as a share of them")
    stock: list[PartStock] = Field(default=[], max_length=500)
    test_pieces: Count = Field(
        default=0, description="good parts of each colour that tests use up, e.g. destructive inspection; made on top"
    )
    inspection: Inspection | None = Field(default=None, description="none: its runs are not inspected")


class PriceBreak(Document):
    """From how many pieces on an order costs less for each."""

    pieces: Annotated[int, Field(ge=1, le=10_000_000)]
    price: Amount = Field(description="money for each piece of the whole order")


class ComesIn(Document):
    """A part of what is bought that comes on a day of its own."""

    after_days: Annotated[int, Field(ge=0, le=3650)] = Field(description="calendar days after `lead_days`")
    share: Annotated[float, Field(gt=0, le=1)] = Field(description="of what is bought, to whole pieces")


class AlsoFrom(Document):
    """So many pieces ordered on the campaign's first day from another supplier."""

    supplier: str = Field(min_length=1, max_length=60)
    pieces: Annotated[int, Field(ge=1, le=10_000_000)]
    lead_days: Count = Field(description="calendar days from order to door")
    price: Amount = Field(description="money for each")


class Piece(Packable, PaymentTerms):
    """A bought-in piece: case, leaflet, carton, insert."""

    price: Amount = 0
    stock: Count = 0
    arrivals: list[Arrival] = Field(default=[], max_length=200, description="deliveries already agreed, pieces")
    lead_days: Count | None = Field(
        default=None, description="calendar days from order to door; none: no more can be bought"
    )
    pack_of: Annotated[int, Field(ge=1, le=1_000_000)] = Field(default=1, description="sold in packs of this many")
    min_order: Count = 0
    price_breaks: list[PriceBreak] = Field(
        default=[],
        max_length=50,
        description="an order is as large as costs least in all, a larger one than is needed too",
    )
    comes_in: list[ComesIn] = Field(
        default=[], max_length=50, description="lots in which what is bought comes; none: all of it after `lead_days`"
    )
    also_from: list[AlsoFrom] = Field(
        default=[],
        max_length=20,
        description="orders at other suppliers, e.g. dearer and sooner; the rest is bought here",
    )
    carton: Carton | None = Field(default=None, description="what it holds, if it is a carton; named by `cartons`")


class SubAssembly(Document):
    """Parts and pieces of a product that are put together on a bench of their own before its assembly."""

    at: Id = Field(description="one of `finishing_benches`")
    parts: list[Id] = Field(
        default=[], max_length=200, description="of the product: all of these that a unit has go into it"
    )
    pieces: list[Id] = Field(
        default=[], max_length=200, description="bought-in pieces of the product: all of these that a unit has"
    )
    minutes: Amount = Field(default=0, description="bench minutes of one person for what one unit needs")
    rest_hours: Amount = Field(default=0, description="hours from its end until it may go on, e.g. for glue")
    in_hand: dict[Id, Count] = Field(
        default={},
        max_length=200,
        description="colourway of the product -> units for which it is put together and not assembled; the parts and "
        "pieces in it stand in their `stock` as well",
    )


class Product(Packable):
    """What is assembled: its parts and pieces, and the colourways it comes in."""

    parts: dict[Id, Annotated[int, Field(ge=1, le=1000)]] = Field(min_length=1, max_length=200)
    pieces: dict[Id, Annotated[int, Field(ge=1, le=1000)]] = Field(
        default={}, max_length=200, description="bought-in pieces that go in at assembly"
    )
    assembly_minutes: Amount = Field(default=0, description="bench minutes of one person for one unit")
    sub_assemblies: dict[Id, SubAssembly] = Field(
        default={}, max_length=20, description="what is put together on other benches first; no part is in two of them"
    )
    colourways: dict[Id, dict[Id, list[Id]]] = Field(
        min_length=1, max_length=200, description="colourway -> part -> one colour per barrel of the part"
    )
    finished_in: dict[Id, dict[Id, Id]] = Field(
        default={},
        max_length=200,
        description="colourway -> part -> the colour that its finishing gives it, for parts that get theirs so",
    )
    spare_units: dict[Id, Count] = Field(
        default={},
        max_length=200,
        description="colourway -> units whose parts are moulded beyond the orders, e.g. against choices still open; "
        "their parts stay in stock",
    )
    assembled: dict[Id, Count] = Field(
        default={},
        max_length=200,
        description="colourway -> units in hand, assembled and not packed; their parts and pieces stand in `stock` as "
        "well",
    )


class Split(Document):
    """Whether an order goes out in parts, what is ready first going first, and what that costs."""

    ship: Literal["in parts", "whole"] = Field(
        default="in parts", description="whole: not split; the plan says what `in parts` would change"
    )
    parcels: Annotated[int, Field(ge=2, le=20)] = Field(default=2, description="most parcels of one order")
    extra_postage: Amount = Field(default=0, description="money for each parcel of an order beyond its first")


class Tier(Document):
    """What a supporter bought."""

    campaign: Annotated[str, Field(min_length=1, max_length=120)] | None = Field(
        default=None,
        description="whose orders these are, where several campaigns share the floor, e.g. the last one's "
        "replacements; none: those of the campaign that the document is named after",
    )
    units: dict[Id, Annotated[int, Field(ge=1, le=100)]] = Field(
        default={}, max_length=20, description="product -> units in one order; none: its orders are add-ons only"
    )
    pieces: dict[Id, Annotated[int, Field(ge=1, le=1000)]] = Field(
        default={}, max_length=100, description="bought-in pieces that go in at packing, per order"
    )
    cartons: list[Id] = Field(
        default=[],
        max_length=50,
        description="cartons to choose from: each parcel takes the cheapest that fits, beside its other pieces",
    )
    split: Split | None = Field(default=None, description="none: an order waits for all it holds and goes out whole")
    pack_minutes: Amount = Field(default=3, description="bench minutes of one person for one parcel")
    promised: date | None = Field(default=None, description="day by which every parcel should have left")
    promised_in: dict[Id, date] = Field(
        default={}, max_length=100, description="region -> that day for its parcels, where it is not `promised`"
    )
    promised_to: Literal["hand-over", "door"] = Field(
        default="hand-over",
        description="what is promised by that day: that parcels have left, or that they are at the door, at the most "
        "days of legs and `door_days`",
    )
    wave: Annotated[int, Field(ge=1, le=9)] | None = Field(
        default=None,
        description="nothing of a wave leaves before all of the waves before it has left, 1 first; none: it neither "
        "waits nor is waited for",
    )
    keep_promise: Annotated[float, Field(gt=0, lt=1)] | None = Field(
        default=None,
        description="chance with which every parcel shall have left by then, where the campaign says what is unsure; "
        "none: what a day late costs decides",
    )
    late_cost_per_day: Amount = Field(
        default=0.25, description="money for each order and each day it leaves after the promised day"
    )
    early_cost_per_day: Amount | None = Field(
        default=None,
        description="money for each order and each day that is announced later than it turns out to be needed; none: "
        "no day to announce is marked as the one of least expected loss",
    )
    priority: Annotated[int, Field(ge=1, le=9)] = Field(default=5, description="1 goes first where all else is equal")
