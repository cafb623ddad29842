"""The campaign document: everything a plan needs to know, as a maker could write it by hand."""

from datetime import date
from typing import Annotated, Literal

from pydantic import Field

from planner.campaign.base import CurrencyCode, Document, Id, WallClock
from planner.campaign.benches import Bench, Floor, PackBench, PickUps
from planner.campaign.carriers import OwnCarrier
from planner.campaign.finishing import FinishingBench, FinishingFirm
from planner.campaign.materials import Colour, ForbiddenPair, Resin
from planner.campaign.orders import CountryCode, OrderLine
from planner.campaign.packing import Carrier, Customs, Labels
from planner.campaign.places import Place, TimeZone
from planner.campaign.planning import Planning
from planner.campaign.presses import Press
from planner.campaign.products import Part, Piece, Product, Tier
from planner.campaign.purging import Purging
from planner.campaign.tool_steps import Toolmaker
from planner.campaign.tools import Tool
from planner.campaign.uncertainty import Uncertainty
from planner.campaign.wishes import Wish


class Campaign(Document):
    """A moulding campaign, first shot to last parcel.

    Things go by the names their maker gave them, as typed; one name is one thing within its section.
    Money is in `currency`; times are wall-clock in `time_zone`; masses say kg or g in the field's name.
    """

    document: Literal["campaign/1"] = "campaign/1"
    name: str = Field(max_length=120)
    currency: CurrencyCode = Field(default="EUR", description="ISO 4217")
    time_zone: TimeZone = Field(default="Europe/London", description="IANA name")
    start: WallClock = Field(description="nothing is planned before this")
    confidence: Annotated[float, Field(ge=0.5, le=0.9999)] = Field(
        default=0.95, description="how sure the shots must be to give enough good parts of an item"
    )
    scrap_taken: Literal["unsure", "known"] = Field(
        default="unsure",
        description="unsure: that sure over all that scrap may turn out to be (`uncertainty`, else the common case); "
        "known: that sure only if every tool's `scrap_share` is just what it says",
    )
    closed_days: list[date] = Field(default=[], max_length=1000, description="holidays: everything is closed")

    presses: dict[Id, Press] = Field(min_length=1, max_length=200)
    tools: dict[Id, Tool] = Field(min_length=1, max_length=500)
    toolmakers: dict[Id, Toolmaker] = Field(
        default={}, max_length=50, description="who does the steps left on tools (`until_ready`), one at a time each"
    )
    resins: dict[Id, Resin] = Field(min_length=1, max_length=200)
    colours: dict[Id, Colour] = Field(min_length=1, max_length=500)
    forbidden_pairs: list[ForbiddenPair] = Field(default=[], max_length=200)
    parts: dict[Id, Part] = Field(min_length=1, max_length=1000)
    pieces: dict[Id, Piece] = Field(default={}, max_length=1000)
    products: dict[Id, Product] = Field(min_length=1, max_length=200)
    tiers: dict[Id, Tier] = Field(min_length=1, max_length=200)
    orders: list[OrderLine] = Field(min_length=1, max_length=200_000)
    regions: dict[Id, list[CountryCode]] = Field(
        default={},
        max_length=100,
        description="region -> countries whose parcels travel together; others: `world`",
    )

    floor: Floor = Floor()
    places: dict[Id, Place] = Field(
        default={},
        max_length=20,
        description="works elsewhere, e.g. a moulder's: presses say where they stand, parts are brought to our benches",
    )
    finishing_benches: dict[Id, FinishingBench] = Field(
        default={},
        max_length=20,
        description="benches of our own between press and assembly, in the order in which parts go through them",
    )
    finishing_firms: dict[Id, FinishingFirm] = Field(
        default={}, max_length=50, description="other firms that parts travel to between press and assembly"
    )
    assembly: Bench = Bench()
    packing: PackBench = PackBench()
    pick_ups: PickUps = PickUps()
    carrier: Carrier = Carrier()
    carriers: dict[Id, OwnCarrier] = Field(
        default={},
        max_length=20,
        description="several carriers, each with its pick-ups, in the place of `carrier` and `pick_ups`; each parcel "
        "goes with the cheapest that takes it",
    )
    labels: Labels = Labels()
    customs: Customs | None = Field(default=None, description="none: no customs facts are told")
    purging: Purging = Purging()
    wishes: list[Wish] = Field(
        default=[],
        max_length=200,
        description="what the maker wants beside the rules; of two that cannot both be had the later is refused",
    )
    planning: Planning = Planning()
    uncertainty: Uncertainty | None = Field(
        default=None, description="none: a promise takes the common case, and says so"
    )
