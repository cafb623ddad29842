"""Entries of the floor's log: one line each, as things happen. Moments are wall-clock in the campaign's zone."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from planner.campaign.base import Amount, Count, Document, Id, Melt, Positive, WallClock, When
from planner.campaign.orders import OrderLine

Colours = Annotated[list[Id], Field(min_length=1, max_length=2)]


Reason = Annotated[str, Field(min_length=1, max_length=60)]


class Entry(Document):
    """What every entry says. at: when it was done (ended)."""

    at: WallClock
    note: str = Field(default="", max_length=500)


class ShotsMade(Entry):
    """Shots of one tool in one set of colours on a press; the run goes on until an entry says it is done."""

    what: Literal["shots"] = "shots"
    press: Id
    tool: Id
    colours: Colours
    shots: Count
    good: dict[Id, Count] = Field(
        default={}, max_length=64, description="part -> good parts counted; not named: the planned share of the shots"
    )
    scrap_by: dict[Reason, Count] = Field(
        default={}, max_length=20, description="reason, in words -> parts scrapped for it, of all the tool's parts"
    )
    hours: Positive | None = Field(default=None, description="press hours these shots took, stops left out")
    regrind_kg: Amount = Field(default=0, description="ground runners fed with them instead of resin, all barrels")
    done: bool = Field(default=False, description="true: this run is ended, even if parts are missing")


Bought = Literal["piece", "resin", "colour", "compound"]
"""What deliveries are of; `colour`: its masterbatch; `compound`: the purging compound, by its name."""


class Purged(Entry):
    """One colour change on a press."""

    model_config = Document.model_config | {"populate_by_name": True}

    what: Literal["purge"] = "purge"
    press: Id
    barrel: Annotated[int, Field(ge=1, le=2)] = 1
    from_: Melt | None = Field(default=None, alias="from", description="none: nobody knew what was in it")
    to: Melt
    kg: Amount = Field(description="all that was shot to waste")
    compound_kg: Amount = Field(default=0, description="of kg: purging compound")


class Stopped(Entry):
    """A press that stood still; kept for the record and for what is learned of its efficiency."""

    what: Literal["downtime"] = "downtime"
    press: Id
    hours: Positive


class Delivered(Entry):
    """A delivery that came."""

    what: Literal["delivery"] = "delivery"
    of: Bought
    id: Id
    amount: Positive = Field(description="pieces, or kg")


class Ordered(Entry):
    """Something ordered: it will come."""

    what: Literal["ordered"] = "ordered"
    of: Bought
    id: Id
    amount: Positive
    due: When


class Assembled(Entry):
    """Units assembled: nobody assembles them again, and the minutes they took teach something.

    Their parts and pieces count as used when their parcels are packed.
    """

    what: Literal["assembled"] = "assembled"
    product: Id
    colourway: Id | None = Field(default=None, description="none: told for the minutes only")
    units: Annotated[int, Field(ge=1, le=10_000_000)]
    person_minutes: Positive | None = None


class PartsFinished(Entry):
    """Moulded parts on which all is done that their part's `finishing` asks for: printed, plated, back from the firm.

    Nobody does it again, and they count as finished parts in hand.
    """

    what: Literal["finished"] = "finished"
    part: Id
    colours: Colours = Field(description="as moulded")
    parts: Count = Field(description="good ones")
    spoilt: Count = Field(default=0, description="parts that the work spoilt, on top of the good ones")

    @model_validator(mode="after")
    def _any(self) -> "PartsFinished":
        if not self.parts + self.spoilt:
            raise ValueError("say how many `parts` are finished, or `spoilt`")
        return self


class SubAssembled(Entry):
    """A sub-assembly put together for so many units of a product that are not assembled yet.

    Nobody puts it together again; its parts and pieces count as used when the units' parcels are packed.
    """

    what: Literal["put-together"] = "put-together"
    product: Id
    colourway: Id
    sub_assembly: Id
    units: Annotated[int, Field(ge=1, le=10_000_000)]


class Packed(Entry):
    """Parcels of one order line packed (and so out of what is left to do)."""

    what: Literal["packed"] = "packed"
    line: Annotated[int, Field(ge=0, le=1_000_000)] = Field(description="index in the campaign's orders, from 0")
    parcels: Annotated[int, Field(ge=1, le=1_000_000)]
    part: Annotated[int, Field(ge=1, le=20)] | None = Field(
        default=None,
        description="which parcel of orders in parts, as the pack list says; none: whole orders",
    )
    person_minutes: Positive | None = None


class CameBack(Entry):
    """Parcels that were packed and did not arrive: lost on the way, or come back.

    Either `line` says which order they were, packed by this log, or `order` does, if they left before this plan.
    """

    what: Literal["came-back"] = "came-back"
    line: Annotated[int, Field(ge=0, le=1_000_000)] | None = Field(
        default=None, description="index in the campaign's orders, from 0"
    )
    order: OrderLine | None = Field(default=None, description="the order, where it left before this plan; count: 1")
    parcels: Annotated[int, Field(ge=1, le=1_000_000)] = 1
    part: Annotated[int, Field(ge=1, le=20)] | None = Field(
        default=None, description="which parcel of orders in parts; none: whole orders"
    )
    again: bool = Field(default=True, description="to be sent again; false: e.g. refunded")
    in_hand: bool = Field(
        default=False, description="what was in them has come back and is good; false: lost or spoiled"
    )

    @model_validator(mode="after")
    def _one_of_them(self) -> "CameBack":
        if (self.line is None) == (self.order is None):
            raise ValueError("needs either `line` or `order`, to say which order it was")
        if self.order is not None and (self.part is not None or self.order.gone is not None):
            raise ValueError("with `order`, whole orders come back; leave out `part` and `gone`")
        return self


class LotResult(Entry):
    """A lot that was inspected. Pieces of a rejected one are not counted on; once sorted, log only what stays out."""

    what: Literal["lot"] = "lot"
    part: Id
    colours: Colours
    pieces: Annotated[int, Field(ge=1, le=100_000_000)] = Field(description="good pieces the lot was counted with")
    accepted: bool


class ToolNews(Entry):
    """News of a tool: when it will be ready, or that it is here and good."""

    what: Literal["tool"] = "tool"
    tool: Id
    ready: When | None = Field(default=None, description="the day it will be ready; none: it is ready")


class StepDone(Entry):
    """A step left on a tool is done: measured, metal put on, approved. `at` says from when."""

    what: Literal["tool-step"] = "tool-step"
    tool: Id
    step: Id


class TurnedOut(Entry):
    """How something turned out that was to be settled on a day: a trial worked or did not, a colour was approved."""

    what: Literal["turned-out"] = "turned-out"
    thing: str = Field(
        min_length=1, max_length=200, description="as the plan names it: `tool/NAME/trial`, `settled/NAME`"
    )
    outcome: Id


class Ticked(Entry):
    """Something of the plan that is done and changes nothing that is planned: kept so that nobody is asked again."""

    what: Literal["ticked"] = "ticked"
    of: Literal["set-up", "handed-over", "sent", "back"] = Field(
        description="a press set up for a run; a pick-up's parcels handed over; a lot of parts sent to another firm; "
        "back from it"
    )
    id: str = Field(
        min_length=1, max_length=60, description="the plan's id of that run, dispatch, or lot with its visit from 1"
    )


AnyEntry = Annotated[
    ShotsMade
    | Purged
    | Stopped
    | Delivered
    | Ordered
    | Assembled
    | PartsFinished
    | SubAssembled
    | Packed
    | CameBack
    | LotResult
    | ToolNews
    | StepDone
    | TurnedOut
    | Ticked,
    Field(discriminator="what"),
]

_KINDS = (
    ShotsMade, Purged, Stopped, Delivered, Ordered, Assembled, PartsFinished, SubAssembled, Packed, CameBack, LotResult,
    ToolNews, StepDone, TurnedOut, Ticked,
)  # fmt: skip

KINDS: dict[str, type[AnyEntry]] = {kind.model_fields["what"].default: kind for kind in _KINDS}
"""What an entry's `what` says -> its model."""


class Actuals(Document):
    """The floor's log up to a moment."""

    document: Literal["actuals/1"] = "actuals/1"
    as_of: WallClock = Field(description="the moment from which to plan again")
    entries: list[AnyEntry] = Field(default=[], max_length=200_000)
