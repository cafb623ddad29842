"""Order lines: how many orders of a tier, in which colourways, to where."""

from collections.abc import Hashable, Iterable
from datetime import date
from typing import Annotated, Any

from pydantic import Field

from planner.campaign.base import Document, Id

CountryCode = Annotated[str, Field(pattern=r"^[A-Z]{2}$")]

_NONE: Any = {"default_factory": dict, "json_schema_extra": {"default": {}}}
"""An empty object where nothing is said. Made anew: a default that is copied took a third of reading an order book."""


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
        **_NONE,
        max_length=20,
        description="product -> the colourway of each unit, as many as the tier holds; none where it holds none",
    )
    extra_units: dict[Id, list[Id]] = Field(**_NONE, max_length=20, description="units beyond the tier, as add-ons")
    extra_pieces: dict[Id, Annotated[int, Field(ge=1, le=1000)]] = Field(
        **_NONE, max_length=50, description="bought-in pieces beyond the tier, as add-ons"
    )
    country: CountryCode = Field(default="GB", description="ISO 3166-1 alpha-2")
    count: Annotated[int, Field(ge=1, le=1_000_000)] = 1
    opens: date | None = Field(
        default=None,
        description="day from which they can be packed, as addresses are known then; units are made before; none: now",
    )
    gone: Gone | None = Field(default=None, description="what has left of each of these orders; none: nothing yet")


def contents_of(line: OrderLine) -> Hashable:
    """What one order of a line holds: equal only where tier, units, add-ons and what has left are the same."""
    if not line.extra_units and not line.extra_pieces and line.gone is None:
        return (line.tier, *line.units, *map(tuple, line.units.values()))
    gone = line.gone.model_dump_json() if line.gone is not None else None
    return line.tier, str(line.units), str(line.extra_units), str(line.extra_pieces), gone


class Gathered:
    """Lines of the same contents as one line with the orders of all: a large order book says few different things.

    Each stands where its first one stood; the others' references and countries are lost.
    """

    def __init__(self) -> None:
        self._first: dict[Hashable, OrderLine] = {}
        self._orders: dict[Hashable, int] = {}

    def add_known(self, contents: Hashable, line: OrderLine) -> bool:
        """Add a line where one of those contents is there; whether it is."""
        if contents not in self._orders:
            return False
        self._orders[contents] += line.count
        return True

    def add(self, contents: Hashable, line: OrderLine) -> None:
        """Add the first line of those contents."""
        self._first[contents], self._orders[contents] = line, line.count

    def lines(self) -> list[OrderLine]:
        return [
            line if line.count == self._orders[key] else line.model_copy(update={"count": self._orders[key]})
            for key, line in self._first.items()
        ]


def gathered(lines: Iterable[OrderLine]) -> list[OrderLine]:
    """The lines, gathered."""
    found = Gathered()
    for line in lines:
        contents = contents_of(line)
        if not found.add_known(contents, line):
            found.add(contents, line)
    return found.lines()
