"""What is said of a table of orders: its columns, then what came of its rows."""

from collections.abc import Mapping
from typing import Literal, Self

from pydantic import BaseModel, ConfigDict, Field

from api.uploads.cells import DateOrder
from api.uploads.document import SAFETY_SHARE, PlannedOrders, taken
from api.uploads.known import Known
from api.uploads.mapping import NOT_ANSWERED, ColumnMapping, OneColour
from api.uploads.report import OrdersRead
from api.uploads.rows import Table
from api.uploads.status import proposed
from api.uploads.suggest import Preview
from planner.campaign.orders import OrderLine

MOST_LISTED = 10_000
"""Rows set aside, repeats and planned choices listed in one answer; beyond that they are counted, and the CSV of rows
set aside holds them all."""


class SuggestedColumn(BaseModel):
    """A column that probably says something; nothing is taken for granted."""

    field: str = Field(description="ref, tier, colour, country, date, count, status, add-ons (text) or `add-on ID`")
    column: str
    strength: float = Field(description="0 to 1")
    why: str


class TableRead(BaseModel):
    """How a table was read."""

    kind: str
    encoding: str
    delimiter: str
    sheet: str
    other_sheets: list[str]
    heading_row: int
    notes: list[str]


class StatusValue(BaseModel):
    """One value of the status column."""

    value: str
    rows: int
    proposed: Literal["counts", "never", ""] = Field(description="never: nothing makes it count; empty: say which")

    @classmethod
    def each(cls, values: Mapping[str, int]) -> list[dict[str, object]]:
        """All values with their rows."""
        said = proposed(values)
        return [{"value": value, "rows": rows, "proposed": said[value]} for value, rows in values.items()]


class TableColumns(TableRead):
    """What a table's columns are, before any row is taken."""

    columns: list[str] = Field(description="columns that may be mapped")
    dropped: dict[str, str] = Field(description="columns with personal data -> its kind; they are never read")
    sample: list[list[str]] = Field(description="first rows of the columns that may be mapped")
    suggestions: list[SuggestedColumn]
    date_order: DateOrder | None = Field(description="null: both fit, or no date needs it")
    statuses: list[StatusValue] = Field(description="what the proposed status column says, in all rows")

    @classmethod
    def of(cls, seen: Preview) -> Self:
        """What a preview found."""
        return cls.model_validate(
            {
                **_source(seen.source),
                "columns": seen.columns,
                "dropped": seen.personal,
                "sample": seen.sample,
                "suggestions": [vars(one) for one in seen.suggestions],
                "date_order": seen.date_order,
                "statuses": StatusValue.each(seen.statuses),
            }
        )


class OrderColumns(BaseModel):
    """Which column means what, as the maker says it; see `columns` for suggestions."""

    model_config = ConfigDict(extra="forbid")

    tier: str
    colours: list[str] = Field(default=[], max_length=200, description="one column a unit, or one with all of them")
    ref: str | None = None
    country: str | None = None
    date: str | None = None
    opens: str | None = Field(default=None, description="column with the day from which an order can be packed")
    count: str | None = Field(default=None, description="column with the number of orders alike")
    add_ons: dict[str, str] = Field(default={}, max_length=200, description="add-on -> column with its number")
    add_on_texts: list[str] = Field(default=[], max_length=20, description="columns that say add-ons in words")
    status: str | None = Field(default=None, description="column that says whether a row counts as an order")
    counts: list[str] = Field(default=[], max_length=200, description="its values that count; all others are set aside")
    not_counted: list[str] = Field(default=[], max_length=200, description="its values that do not, as you said")
    ignored: list[str] = Field(
        default=[], max_length=100, description="columns that speak of refunds and say nothing of whether a row counts"
    )
    colour_separator: str = Field(default=",", description="between colours in one cell, besides the usual marks")
    not_answered: list[str] = Field(default=list(NOT_ANSWERED), max_length=100)
    country_otherwise: str | None = Field(
        default=None, pattern="^[A-Z]{2}$", description="country of rows without one; null: they are set aside"
    )
    date_order: DateOrder | None = None
    wordings: dict[Literal["tier", "colour", "country", "add_on"], dict[str, str]] = Field(
        default={}, description="field -> what the table writes -> the id it means; an add-on may mean `nothing`"
    )
    repeats: Literal["set aside", "keep"] = "set aside"
    one_colour: OneColour = Field(
        default="first", description="one colour alone means the first unit of an order, or all that come in it"
    )
    safety_share: float = Field(
        default=SAFETY_SHARE, ge=0, le=1, description="spare units beside each planned colourway, as a share"
    )

    def mapping(self) -> ColumnMapping:
        """As the reader of tables knows it."""
        said = self.model_dump(exclude={"safety_share"})
        listed = ("colours", "not_answered", "add_on_texts", "counts", "not_counted", "ignored")
        return ColumnMapping(**said | {name: tuple(said[name]) for name in listed})


class RowSetAside(BaseModel):
    """A row that was not taken, kept with what may be shown of it."""

    row: int
    line: int | None = Field(description="line of the text file; null in a workbook")
    field: str
    reason: str
    remedy: str
    cells: dict[str, str]


class UnknownWording(BaseModel):
    """Words in the table that nobody knows; say under `wordings` what they mean."""

    field: str
    wording: str
    near: str | None = Field(description="the id they are nearest to; a guess, never taken by itself")
    rows: int


class RepeatedRows(BaseModel):
    """Rows with the same reference, or the same contents in a table of counts."""

    what: str
    rows: list[int]
    kept: bool


class Reason(BaseModel):
    """Why rows were set aside, and how many."""

    field: str
    reason: str
    rows: int


class PlannedPool(BaseModel):
    """Units of one product in one tier whose colourway is not chosen yet, and what is planned for them."""

    tier: str
    product: str
    missing: int
    planned: dict[str, int] = Field(description="colourway -> units, adding up to `missing`")
    safety: dict[str, int] = Field(description="colourway -> further units worth having")
    rule: str


class PlannedChoice(BaseModel):
    """One open choice that was planned."""

    row: int
    ref: str
    unit: int = Field(description="which unit of the order, from 1")
    product: str
    colourway: str
    orders: int


class OrdersAnswer(TableRead):
    """What came of a table: rows = rows_taken + rows_set_aside."""

    rows: int
    blank_rows: int
    rows_taken: int
    rows_set_aside: int
    orders_taken: int = Field(description="orders in the rows taken")
    reasons: list[Reason] = Field(description="most frequent first")
    set_aside: list[RowSetAside]
    statuses: list[StatusValue] = Field(description="what the status column says")
    unknown_wordings: list[UnknownWording] = Field(description="words that are no tier, colourway, country or add-on")
    repeats: list[RepeatedRows]
    dropped: dict[str, str]
    unused: list[str]
    missing_choices: int = Field(description="units whose colourway is not chosen, over all orders")
    one_colour: int = Field(description="orders of several units with one colour, in which all of them come")
    pools: list[PlannedPool]
    planned_choices: list[PlannedChoice]
    listed_at_most: int = MOST_LISTED
    spare_units: dict[str, dict[str, int]] = Field(
        description="product -> colourway -> safety units of all pools: `spare_units` of the campaign's products"
    )
    orders: list[OrderLine] = Field(description="`orders` of the campaign document, open choices planned")

    @classmethod
    def of(cls, read: OrdersRead, planned: PlannedOrders) -> Self:
        """What the reader took and set aside, and what was planned."""
        choice = ("row", "ref", "unit", "product", "colourway", "orders")
        return cls.model_validate(
            {
                **_source(read.source),
                "notes": read.notes,
                "rows": read.rows,
                "blank_rows": read.blank_rows,
                "rows_taken": len(read.lines),
                "rows_set_aside": len(read.set_aside),
                "orders_taken": read.orders,
                "reasons": [{"field": f, "reason": r, "rows": n} for (f, r), n in read.reasons().items()][:MOST_LISTED],
                "set_aside": [
                    {name: getattr(one, name) for name in RowSetAside.model_fields}
                    for one in read.set_aside[:MOST_LISTED]
                ],
                "statuses": StatusValue.each(read.statuses),
                "unknown_wordings": [
                    dict(zip(("field", "wording", "near", "rows"), one, strict=True))
                    for one in read.unknown_wordings()[:MOST_LISTED]
                ],
                "repeats": [vars(one) for one in read.repeats[:MOST_LISTED]],
                "dropped": read.dropped,
                "unused": read.unused,
                "missing_choices": read.missing_choices,
                "one_colour": read.one_colour,
                "pools": [vars(pool) for pool in planned.choices.pools],
                "planned_choices": [dict(zip(choice, one, strict=True)) for one in planned.listed[:MOST_LISTED]],
                "spare_units": planned.spare_units,
                "orders": planned.orders,
            }
        )


def answer_json(table: Table, mapping: ColumnMapping, known: Known, safety_share: float) -> str:
    """What came of a table, as it is sent: put together where the table is read, so that a hundred thousand order
    lines need not travel. Raises what `taken` raises."""
    return OrdersAnswer.of(*taken(table, mapping, known, safety_share)).model_dump_json()


def _source(source: object) -> dict[str, object]:
    return dict(vars(source))
