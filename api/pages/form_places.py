"""Other places where presses or benches stand, in the form; and the form filled in."""

from collections.abc import Mapping
from typing import Any

from api.pages import shorthand
from api.pages.form_made import Made, entries, numbers
from api.pages.form_rows import WAS, Filled
from api.pages.form_values import text
from api.pages.measures import clock

Thing = Mapping[str, Any]
Row = dict[str, str]
NUMBERS = (
    "here_days", "there_days", "lot_parts", "lot_price", "setters", "setter_rate_per_hour", "operators",
    "operator_rate_per_hour", "balance_days",
)  # fmt: skip
CLOCKS = ("time", "arrives")


def write(made: Made, filled: Filled) -> None:
    """Places by their names."""
    for at, row, name in entries(made, filled, "places"):
        made.document.setdefault("places", {}).setdefault(name, {})
        here: list[str | int] = ["places", name]
        made.put([*here, "time_zone"], row["time_zone"], at + "time_zone")
        made.put([*here, "leaves"], shorthand.weekdays(row["leaves"]), at + "leaves")
        for known in CLOCKS:
            made.put([*here, known], clock(row[known]), at + known)
        made.days([*here, "closed_days"], row["closed_days"], at + "closed_days")
        numbers(made, here, at, row, *NUMBERS)


def places_in(document: Thing) -> list[Row]:
    """Other places as they would be typed."""
    return [
        {"id": name, WAS: name}
        | {known: ", ".join(map(text, place.get(known) or [])) for known in ("leaves", "closed_days")}
        | {known: text(place.get(known)) for known in ("time_zone", *CLOCKS, *NUMBERS)}
        for name, place in (document.get("places") or {}).items()
    ]
