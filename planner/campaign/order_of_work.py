"""An order of work: who runs where in what order, and which pack batch is served first. No times: those follow."""

from datetime import date, datetime
from typing import Annotated

from pydantic import Field

from planner.campaign.base import Document, Id


class WorkRun(Document):
    """One run of an order of work."""

    tool: Id
    colours: list[Id] = Field(min_length=1, max_length=2)
    shots: Annotated[int, Field(ge=1, le=1_000_000_000)]
    not_before: datetime | None = Field(default=None, description="what it waits for on purpose, to save a restart")


class OrderOfWork(Document):
    """Runs by press, and pack batches in order of service."""

    presses: dict[Id, list[WorkRun]] = Field(default={}, max_length=200)
    service: list[Annotated[str, Field(max_length=2000)]] = Field(
        default=[], max_length=200_000, description="pack batches by what is in them, first served first"
    )


class Told(Document):
    """What people were told, and what it costs to go back on it. Money in the campaign's currency."""

    moving_a_run: Annotated[float, Field(ge=0, le=1e9)] = Field(
        default=0, description="money for each run that changes its press or the run it follows"
    )
    moving_a_date: Annotated[float, Field(ge=0, le=1e9)] = Field(
        default=0, description="money for each day the last parcel of a tier leaves after the day people were told"
    )
    days: dict[Id, date] = Field(default={}, max_length=200, description="tier -> day told")
