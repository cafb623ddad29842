"""What a form says that is likely a slip of the hand: days that are over, figures far from any workshop's.

It is asked about, not refused: ticked as right, it is planned. The bounds are common practice, from memory, and wide:
they hold from table-top presses to the largest.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from api.languages import wording
from api.pages.form_made import Made
from planner.campaign.pointers import pointer

SURE = "sure"
"""Name of the boxes with which somebody says that it is right: field and what is in it."""


@dataclass(frozen=True)
class Usual:
    """Between which figures a field usually is, and how that is said."""

    least: float
    most: float
    words: str


USUAL = {
    "clamp_kn": Usual(20, 60_000, "presses clamp 20 to 60,000 kN"),
    "holdup_kg": Usual(0.01, 60, "barrels hold 0.01 to 60 kg"),
    "shot_max_g": Usual(3, 60_000, "barrels inject 3 g to 60 kg"),
    "plasticising_kg_h": Usual(0.5, 2_000, "screws melt 0.5 to 2,000 kg an hour"),
    "rate_per_hour": Usual(0, 1_000, "an hour seldom costs over 1,000"),
    "setter_rate_per_hour": Usual(0, 1_000, "an hour seldom costs over 1,000"),
    "operator_rate_per_hour": Usual(0, 1_000, "an hour seldom costs over 1,000"),
    "operators": Usual(0, 200, "seldom over 200 people stay at presses"),
    "price_per_kg": Usual(0, 500, "a kilogram seldom costs over 500"),
    "lead_days": Usual(0, 200, "orders seldom take over 200 days"),
    "drying_hours": Usual(0, 16, "resins dry for up to 16 hours"),
    "let_down_percent": Usual(0, 20, "masterbatch is 0.2 to 20 in 100"),
    "mass_g": Usual(0.05, 20_000, "parts weigh 0.05 g to 20 kg"),
    "spare_share": Usual(0, 0.3, "spares are seldom over 30 in 100"),
    "cycle_s": Usual(3, 900, "cycles take 3 s to 15 minutes"),
    "scrap_share": Usual(0, 0.3, "scrap is seldom over 30 in 100"),
    "mount_minutes": Usual(0, 480, "a tool is seldom mounted for over 8 hours"),
    "startup_shots": Usual(0, 200, "a start seldom takes over 200 shots"),
    "assembly_minutes": Usual(0, 120, "a unit is seldom assembled for over 2 hours"),
    "pack_minutes": Usual(0, 60, "a parcel is seldom packed for over an hour"),
    "people": Usual(1, 200, "benches have 1 to 200 people"),
    "count": Usual(1, 200_000, "orders are seldom over 200,000"),
}
PAST = ("promised", "not_before", "on")
"""Days that lie ahead in a plan that is still to be made; a tool may well be ready, and a step done."""


def today() -> date:
    """The day by this machine's clock."""
    return date.today()


def doubts(made: Made, now: date, sure: set[str]) -> dict[str, str]:
    """What to ask, by field. sure: fields with their values that somebody said are right."""
    found: dict[str, str] = {}
    for where, value in _values(made.document):
        if not where:
            continue
        name = where[-1] if isinstance(where[-1], str) else str(where[-2])
        asked = _of_day(name, value, now) if isinstance(value, str) else _of_figure(name, value)
        field = made.fields.get(pointer(*where), "")
        if asked and field and said(field, value) not in sure:
            found.setdefault(field, asked)
    return found


def said(field: str, value: Any) -> str:
    """What a ticked box says: it holds for this value only."""
    return f"{field}={value}"


def all_said(made: Made) -> set[str]:
    """All that a document says, as boxes would say it: what stood there before is not asked about again."""
    return {said(made.fields.get(pointer(*where), ""), value) for where, value in _values(made.document) if where}


def boxes(made: Made, asked: dict[str, str]) -> dict[str, str]:
    """What to send with each question once it is answered with yes."""
    by_field = {made.fields.get(pointer(*where), ""): value for where, value in _values(made.document) if where}
    return {field: said(field, by_field[field]) for field in asked if field in by_field}


def _of_figure(name: str, value: Any) -> str:
    usual = USUAL.get(name)
    if usual is None or isinstance(value, bool) or not isinstance(value, int | float):
        return ""
    return "" if usual.least <= value <= usual.most else f"{wording.figure(value)}, is that right? {usual.words}"


def _of_day(name: str, text: str, now: date) -> str:
    try:
        day = date.fromisoformat(text[:10])
    except ValueError:
        return ""
    if name == "start" and day < now - timedelta(days=1):
        return f"{wording.day(day)} is over, is that right? The plan would begin then"
    if name in PAST and day < now:
        return f"{wording.day(day)} is over, is that right?"
    if name in (*PAST, "start", "ready") and day > now + timedelta(days=3 * 365):
        return f"{wording.day(day)} is years away, is that right?"
    return ""


def _values(document: Any, *steps: str | int) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    if not isinstance(document, dict | list):
        yield steps, document
        return
    for step, value in document.items() if isinstance(document, dict) else enumerate(document):
        yield from _values(value, *steps, step)
