"""Other places: works elsewhere with presses, setters or benches of their own, and the ways there and here."""

from datetime import date
from typing import Annotated
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import AfterValidator, Field

from planner.campaign.base import Amount, Document, TimeOfDay
from planner.campaign.benches import WEEKDAYS, Day


def _known_zone(name: str) -> str:
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise ValueError(f"`{name}` is no time zone; use an IANA name such as Europe/London") from error
    return name


TimeZone = Annotated[str, AfterValidator(_known_zone)]
"""An IANA name, e.g. Europe/London."""


class Place(Document):
    """Works elsewhere, e.g. a moulder's or a packer's: hours of presses and benches there are wall-clock time there.
    What is made there is brought to our floor in lots, and what is worked on there is taken there in lots; from one
    place to another by way of our floor."""

    time_zone: TimeZone | None = Field(default=None, description="IANA name; none: the campaign's")
    closed_days: list[date] = Field(
        default=[], max_length=1000, description="its own holidays; the campaign's `closed_days` are not its"
    )
    setters: Annotated[int, Field(ge=1, le=100)] = Field(
        default=1, description="its own setters: changeovers that can go on there at once"
    )
    setter_rate_per_hour: Amount = Field(
        default=0, description="money per hour of its setters; 0: its presses' rates and charges cover them"
    )
    operators: Annotated[int, Field(ge=0, le=1000)] = Field(
        default=0, description="its own people who can stay at presses at once, for tools that ask for it"
    )
    operator_rate_per_hour: Amount = Field(
        default=0, description="money per hour of moulding for each of them; 0: its presses' rates cover them"
    )
    leaves: list[Day] = Field(
        default=WEEKDAYS, min_length=1, max_length=7, description="weekdays on which lots leave, either way"
    )
    time: TimeOfDay = Field(default="16:00", description="wall-clock time at which lots leave, where they are then")
    here_days: Annotated[int, Field(ge=0, le=365)] = Field(default=1, description="calendar days on the way here")
    there_days: Annotated[int, Field(ge=0, le=365)] | None = Field(
        default=None, description="calendar days on the way there from our floor; none: as many as `here_days`"
    )
    arrives: TimeOfDay = Field(
        default="08:00",
        description="wall-clock time at which lots arrive, where they go; on a closed day there: the next",
    )
    lot_parts: Annotated[int, Field(ge=1, le=10_000_000)] | None = Field(
        default=None,
        description="parts of a kind and colour that travel together, the last with what is left; none: all together",
    )
    lot_price: Amount = Field(default=0, description="money for each lot's way, here or there")
    balance_days: Annotated[int, Field(ge=0, le=3650)] = Field(
        default=0, description="calendar days from the day a lot arrives to the day its way is to be paid"
    )
