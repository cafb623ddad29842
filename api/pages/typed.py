"""A figure typed into a page's field, in any way people write it; what is none is a problem of its field."""

from api.languages import gettext
from api.pages import measures


def amount(text: str, field: str, problems: dict[str, str], unit: str = "", currency: str = "EUR") -> float | None:
    """unit: what the field is counted in, as field names end (`kg`, `hours`, `days`, `percent`); "": a mere number."""
    if not text.strip():
        problems[field] = gettext("write how much")
        return None
    try:
        return measures.figure(text, unit, currency)
    except ValueError as error:
        problems[field] = str(error)
        return None


def whole(text: str, field: str, problems: dict[str, str], unit: str = "") -> int | None:
    """A count: `1,200`, `1 200 pcs`."""
    if not text.strip():
        problems[field] = gettext("write how many")
        return None
    value = amount(text, field, problems, unit)
    if value is None:
        return None
    if not value.is_integer() or not 0 <= value < 1e9:
        problems[field] = gettext("%(said)s is not a whole number") % {"said": repr(text[:30])}
        return None
    return int(value)
