"""What a published plan still asks of people, by what was written down on the floor."""

from collections.abc import Sequence

from api.languages.reading import now_reading
from api.pages.needs import Need, in_order
from api.services import floor_log
from api.services.published import Published
from worker.records.floor_log import LoggedEntry


def still_to_do(shown: Published, log: Sequence[LoggedEntry]) -> Sequence[Need]:
    """Day by day; kept for as long as nothing more is written down."""
    return shown.listed(  # entries are added and struck, never changed: as many up to the same last one are the same
        ("needs", len(log), log[-1].id if log else "", now_reading()),
        lambda: in_order(shown.plan, shown.campaign, floor_log.as_entries(log)),
    )
