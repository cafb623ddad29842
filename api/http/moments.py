"""Times as the API says them."""

from datetime import UTC, datetime


def moment(seconds: float) -> datetime:
    """Seconds since 1970 as a moment in UTC."""
    return datetime.fromtimestamp(seconds, UTC)
