"""Order lines: how many orders of a tier, in which colourways, to where."""

from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, Self

from pydantic import Field

from planner.campaign.base import Document, Id

CountryCode = Annotated[str, Field(pattern=r"^[A-Z]{2}$")]

LONGEST_REF = 60
MOST_ORDERS = 1_000_000
"""In one line."""
_NONE: Any = {"default_factory": dict, "json_schema_extra": {"default": {}}}
"""An empty object where nothing is said. Made anew: a default that is copied took a third of reading an order book."""


class Gone(Document):
    """What each of an order line's orders has got already, in parcels that left before."""

    parcels: Annotated[int, Field(ge=1, le=19)] = 1
    units: dict[Id, list[Id]] = Field(default={}, max_length=20, description="product -> the colourway of each unit")
    pieces: dict[Id, Annotated[int, Field(ge=1, le=1000)]] = Field(default={}, max_length=50)


class OrderLine(Document):
    """One line of the order book; `count` orders that are alike, each of them one parcel."""

    ref: str = Field(default="", max_length=LONGEST_REF, description="the maker's own reference; no names or addresses")
    tier: Id
    units: dict[Id, list[Id]] = Field(
        **_NONE,
        max_length=20,
        description="product -> the colourway of each unit, as many as the tier holds; none where it holds none",
    )
    extra_units: dict[Id, list[Id]] = Field(**_NONE, max_length=20, description="units beyond the tier, as add-ons")
    extra_pieces: dict[Id, Annotated[int, Field(ge=1, le=1000)]] = Field(
        **_NONE, max_length=50, description="bought-in pieces beyond the tier, as add-ons"
    )
    country: CountryCode = Field(default="GB", description="ISO 3166-1 alpha-2")
    count: Annotated[int, Field(ge=1, le=MOST_ORDERS)] = 1
    opens: date | None = Field(
        default=None,
        description="day from which they can be packed, as addresses are known then; units are made before; none: now",
    )
    gone: Gone | None = Field(default=None, description="what has left of each of these orders; none: nothing yet")

    def again(self, ref: str, count: int) -> Self:
        """Another line of the same contents, said in the same fields; both values are sound. `model_copy` takes three
        times as long, for each of a hundred thousand lines."""
        line = object.__new__(type(self))
        object.__setattr__(line, "__dict__", {**self.__dict__, "ref": ref, "count": count})
        object.__setattr__(line, "__pydantic_fields_set__", self.__pydantic_fields_set__)
        object.__setattr__(line, "__pydantic_extra__", None)
        object.__setattr__(line, "__pydantic_private__", None)
        return line


def contents_of(line: OrderLine) -> Hashable:
    """What one order of a line holds: equal only where tier, units, add-ons and what has left are the same."""
    if not line.extra_units and not line.extra_pieces and line.gone is None:
        return (line.tier, *line.units, *map(tuple, line.units.values()))
    gone = line.gone.model_dump_json() if line.gone is not None else None
    return line.tier, str(line.units), str(line.extra_units), str(line.extra_pieces), gone


@dataclass(frozen=True)
class AlikeLines:
    """Lines of the same contents to one country. contents: see `contents_of`. first: the first line, and its place
    in the order book. orders: of all of them."""

    contents: Hashable
    place: int
    first: OrderLine
    orders: int


def alike_lines(lines: Iterable[OrderLine]) -> list[AlikeLines]:
    """A large order book says few different things: each of them, in the order of their first lines."""
    first: dict[Hashable, tuple[int, OrderLine]] = {}
    orders: dict[Hashable, int] = {}
    for n, line in enumerate(lines):
        said = line.__dict__  # fields are looked up in half of the time there
        key: Hashable
        if said["extra_units"] or said["extra_pieces"] or said["gone"] is not None:
            key = contents_of(line), line.country
        else:  # as contents_of, here: most of a large book is such lines, and half of the time would go into calling it
            units = said["units"]
            key = said["tier"], said["country"], *units, *map(tuple, units.values())
        if key in orders:
            orders[key] += said["count"]
        else:
            first[key], orders[key] = (n, line), said["count"]
    return [AlikeLines(contents_of(first[key][1]), *first[key], orders=number) for key, number in orders.items()]


def gathered(lines: Iterable[OrderLine]) -> list[OrderLine]:
    """Lines of the same contents as one line with the orders of all.

    Each stands where its first one stood; the others' references and countries are lost.
    """
    return merged(alike_lines(lines))


def merged(lines: Iterable[AlikeLines]) -> list[OrderLine]:
    """As `gathered`, of lines that were looked through already."""
    first: dict[Hashable, OrderLine] = {}
    orders: dict[Hashable, int] = {}
    for some in lines:
        first.setdefault(some.contents, some.first)
        orders[some.contents] = orders.get(some.contents, 0) + some.orders
    return [
        line if line.count == orders[key] else line.model_copy(update={"count": orders[key]})
        for key, line in first.items()
    ]
