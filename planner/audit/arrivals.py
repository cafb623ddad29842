"""When bought things are there: deliveries agreed and orders of the first day, material dried."""

from datetime import timedelta

from planner.audit.case import Case
from planner.audit.figures import exact, whole_up
from planner.audit.pieces import part_deliveries
from planner.campaign.materials import Bought, Resin
from planner.campaign.products import Piece


def drying_seconds(entry: Bought | Piece) -> int:
    """Whole seconds in the dryer; masterbatch and purging compound are taken as they come."""
    return whole_up(exact(entry.drying_hours) * 3600) if isinstance(entry, Resin) else 0


def comes(case: Case, entry: Bought | Piece) -> set[int]:
    """Seconds at which more of it is there, and dried."""
    dry = drying_seconds(entry)
    found = {case.clock.at(arrival.on) + dry for arrival in entry.arrivals}
    if entry.lead_days is not None:
        found.add(case.bought_arrives[entry.lead_days] + dry)
    if isinstance(entry, Piece):
        start = case.campaign.start
        days = [*(one.lead_days for one in entry.also_from), *(n for n, _ in part_deliveries(entry, 0))]
        found |= {case.clock.at(start + timedelta(days=n)) for n in days}
    return found
