"""What time it is where the plan is carried out."""

from datetime import datetime
from zoneinfo import ZoneInfo

from fastapi import Request

from api.pages.api_client import ask
from api.services.published import Published


def now_at(shown: Published) -> datetime:
    """Wall-clock time in the maker's zone, never before the plan begins."""
    now = datetime.now(ZoneInfo(shown.plan.time_zone)).replace(tzinfo=None, microsecond=0)
    return max(now, shown.plan.start.replace(tzinfo=None))


def stands_at(request: Request, shown: Published) -> str:
    """The moment to plan again from: now, or that of the last entry where the log runs ahead of the clock."""
    log = ask(request, "GET", f"/v1/plans/{shown.row.id}/actuals").json()["entries"]
    last = max((datetime.fromisoformat(one["entry"]["at"]) for one in log), default=now_at(shown))
    return max(now_at(shown), last).isoformat(timespec="minutes")
