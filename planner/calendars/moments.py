"""Days and moments put beside each other."""

from datetime import UTC, date, datetime, timedelta


def first_moment(on: date | datetime) -> datetime:
    """A moment as it is; of a day its first, without a zone."""
    return on if isinstance(on, datetime) else datetime(on.year, on.month, on.day)


def day_of(on: date | datetime) -> date:
    """A day as it is; of a moment the day on which it falls in its own zone."""
    return on.date() if isinstance(on, datetime) else on


def later(moment: datetime, seconds: float) -> datetime:
    """So many real seconds later, in the same zone, right across clock changes. Negative: earlier."""
    return (moment.astimezone(UTC) + timedelta(seconds=seconds)).astimezone(moment.tzinfo)
