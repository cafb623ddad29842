"""Values of the document as they would be typed."""

from typing import Any


def text(value: Any) -> str:
    """A value as it would be typed; nothing for none."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)


def single_days(days: Any) -> str:
    """Hours of single days."""
    return "; ".join(f"{on} {spans}" for on, spans in days.items()) if isinstance(days, dict) else ""


def week(hours: Any) -> str:
    """Hours of a week."""
    return "; ".join(f"{days} {spans}" for days, spans in hours.items()) if isinstance(hours, dict) else ""
