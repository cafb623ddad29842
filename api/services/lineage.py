"""A plan and those it was made from: what happened to a moulding campaign happened to one of them."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from sqlalchemy import Connection

from api.services.floor_log import as_entries
from planner.actuals.entries import AnyEntry
from planner.campaign import Campaign
from planner.reading import kept
from worker.records import floor_log, reading
from worker.records.floor_log import LoggedEntry
from worker.records.reading import PlanRow


@dataclass(frozen=True)
class Forebear:
    """A plan of the line. campaign_text: its campaign as it was sent. logged: its log, as kept."""

    row: PlanRow
    campaign_text: str
    logged: list[LoggedEntry]

    @cached_property
    def campaign(self) -> Campaign:
        return kept(self.campaign_text)

    @property
    def log(self) -> list[AnyEntry]:
        return as_entries(self.logged)


def line(connection: Connection, workshop_id: str, plan_id: str) -> Iterator[Forebear]:
    """The plan, the one it was made from, and so on: the nearest first."""
    for here in reading.line_of(connection, workshop_id, plan_id):
        row = reading.find(connection, workshop_id, here)
        text = reading.campaign_document(connection, workshop_id, here)
        if row is None or text is None:
            return
        yield Forebear(row, text, floor_log.entries(connection, workshop_id, here))
