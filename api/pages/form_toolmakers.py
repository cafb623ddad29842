"""Days on which toolmakers work, in the form; and the form filled in."""

from collections.abc import Mapping
from typing import Any

from api.pages import shorthand
from api.pages.form_made import Made, entries
from api.pages.form_rows import WAS, Filled
from api.pages.form_values import text

Thing = Mapping[str, Any]
Row = dict[str, str]


def write(made: Made, filled: Filled) -> None:
    """Days by toolmaker, beside those whom the steps name."""
    for at, row, name in entries(made, filled, "toolmakers"):
        made.document.setdefault("toolmakers", {}).setdefault(name, {})
        here: list[str | int] = ["toolmakers", name]
        made.put([*here, "works_on"], shorthand.weekdays(row["works_on"]), at + "works_on")
        made.days([*here, "closed_days"], row["closed_days"], at + "closed_days")


def toolmakers_in(document: Thing) -> list[Row]:
    """Those of whom anything is said beside their name, as it would be typed."""
    return [
        {"id": name, WAS: name}
        | {known: ", ".join(map(text, person.get(known) or [])) for known in ("works_on", "closed_days")}
        for name, person in (document.get("toolmakers") or {}).items()
        if person
    ]
