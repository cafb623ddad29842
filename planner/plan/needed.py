"""Plan parts about what is needed: materials, bought-in pieces, dryer loads. Masses kg, money the campaign's."""

from datetime import date, datetime
from typing import Literal

from pydantic import Field

from planner.plan.base import PlanPart


class Material(PlanPart):
    """What a resin, masterbatch or purging compound adds up to: used = moulded + start-up + purge - regrind."""

    kind: Literal["resin", "masterbatch", "purging compound"]
    id: str
    moulded_kg: float
    startup_kg: float
    purge_kg: float
    regrind_kg: float
    used_kg: float
    stock_kg: float = Field(description="in stock at the start, what first trials take of it left out")
    trials_kg: float = Field(default=0.0, description="what first trials on the presses take, in no cost")
    trials_brought_kg: float = Field(default=0.0, description="of that, what is not in stock, and is to be brought")
    arriving_kg: float
    bought_kg: float
    left_over_kg: float
    price_per_kg: float
    first_use: datetime | None
    order_by: date | None = Field(description="day by which bought_kg must be ordered; null: nothing to buy")
    if_late: str = Field(default="", description="what happens if it comes late, in words")


class PieceLot(PlanPart):
    """Pieces of an order that come on one day."""

    on: date
    pieces: int


class PieceNeed(PlanPart):
    """What one bought-in piece adds up to."""

    id: str
    used: int
    stock: int
    arriving: int
    bought: int
    left_over: int
    price: float = Field(description="money for each, at the number bought")
    lots: list[PieceLot] = Field(
        default=[], description="when what is bought comes, if ordered by `order_by`; empty: all at once"
    )
    first_use: datetime | None
    order_by: date | None
    if_late: str = Field(default="", description="what happens if they come late, in words")


class ToolStepDates(PlanPart):
    """A step left on a tool before it makes good parts, if all goes as expected."""

    tool: str
    step: str
    what: str = Field(description="in words, with its tool")
    by: str | None = Field(description="the toolmaker; null: nobody is kept busy")
    begin: datetime
    end: datetime
    done: bool
    waits_for: str = Field(description="what its begin waited for, in words; empty: nothing")
    decides: bool = Field(description="whether the tool's day moves with it")


class DryerLoad(PlanPart):
    """One filling of a dryer, and what tops it up while runs draw from it. Dry when they begin, by its timer where
    nobody is there to start it."""

    dryer: str
    resin: str
    kg: float = Field(description="in all, kg")
    fill_kg: float | None = Field(
        default=None,
        description="of these, filled in at first; the rest tops the dryer up as it is drawn from, the last of it "
        "before people leave. null: all at once",
    )
    degrees_c: float | None = Field(description="drying temperature, degrees C; null: not said")
    cleaned_from: datetime | None = Field(
        default=None, description="the dryer is emptied and cleaned of another resin from then; null: it need not be"
    )
    cleaned_until: datetime | None = None
    load_at: datetime
    dry_at: datetime
    used_from: datetime
    used_until: datetime
    waits_hours: float | None = Field(
        default=None, description="longest that any of it stays in the dryer once dry, h; null: from dry to used up"
    )
    runs: list[str]
