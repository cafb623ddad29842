"""An entry of the purge log as the API and pages tell it."""

from datetime import datetime

from api.http.moments import moment
from api.purge.schemas import PurgeAnswer
from api.services.stored_log import kept_as
from planner.campaign.purging import PurgeLogged
from planner.purge.figures import log_entry
from worker.records.purge_log import EntryRow


class LogEntrySaid(PurgeAnswer):
    """An entry of the log. flag: why it doesn't count as it is; null: it counts, unless it is far off the others."""

    id: str
    written_at: datetime
    entry: PurgeLogged
    flag: str | None


def said_of(row: EntryRow) -> LogEntrySaid:
    """An entry as the API and pages tell it, with what is odd about it."""
    kept = kept_as(row)
    flag = log_entry(kept.entry, 0, kept.entry.shot_g).fault()
    by_tool = kept.entry.kg is None and kept.entry.shot_g is None  # the tool's shot is the campaign's to say
    return LogEntrySaid(
        id=row.id, written_at=moment(row.created_at), entry=kept.entry, flag=None if by_tool else flag or None
    )
