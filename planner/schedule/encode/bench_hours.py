"""When a bench is open."""

from planner.calendars.clock import Clock
from planner.calendars.places import wall
from planner.calendars.stretches import Stretch, stretches
from planner.campaign import Campaign
from planner.campaign.benches import Bench


def bench_hours(campaign: Campaign, bench: Bench, clock: Clock, days: int, work: bool) -> list[Stretch]:
    """Stretches with as many people each. A bench that never opens, with no work to be done there, keeps nobody
    waiting: it counts as open always (RULES.md, B4)."""
    beside, closed = wall(campaign, bench, clock)
    found = stretches(bench, closed, beside, days, bench.people, headcount=True)
    return found if work or any(one.people for one in found) else [Stretch(0, days * 86400, 1)]
