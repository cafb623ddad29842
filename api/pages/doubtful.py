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
from api.pages.priced import said_prices
from planner.campaign.pointers import pointer
from planner.campaign.price_breaks import dearer_for_more
from planner.demand.put_together import not_in_stock
from planner.errors import CampaignProblems
from planner.reading import read

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
BREAKS = {
    "pieces": ("pieces", "price"),
    "resins": ("kg", "price_per_kg"),
    "colours": ("kg", "price_per_kg"),
}
"""Section -> how a price break calls from how many on it holds, and the price."""
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
    for field, (value, asked) in _asked_together(made).items():
        if said(field, value) not in sure:
            found.setdefault(field, asked)
    return found


def said(field: str, value: Any) -> str:
    """What a ticked box says: it holds for this value only."""
    return f"{field}={value}"


def all_said(made: Made) -> set[str]:
    """All that a document says, as boxes would say it: what stood there before is not asked about again."""
    return {said(field, value) for field, value in _by_field(made)}


def boxes(made: Made, asked: dict[str, str]) -> dict[str, str]:
    """What to send with each question once it is answered with yes."""
    by_field = dict(_by_field(made))
    return {field: said(field, by_field[field]) for field in asked if field in by_field}


def _by_field(made: Made) -> Iterator[tuple[str, Any]]:
    """Field and what is in it; at last what is asked about together, such as all prices of a list."""
    for where, value in _values(made.document):
        if where:
            yield made.fields.get(pointer(*where), ""), value
    for field, (value, _) in _asked_together(made).items():
        yield field, value


def _asked_together(made: Made) -> dict[str, tuple[str, str]]:
    """Field -> the values that a question is about, and the question."""
    found: dict[str, tuple[str, str]] = {}
    for field, value, asked in (*_rising_prices(made), *_made_again(made)):
        found.setdefault(field, (value, asked))
    return found


def _made_again(made: Made) -> Iterator[tuple[str, str, str]]:
    """The same of units and sub-assemblies in hand that hold more than is in stock; of a document that can be read."""
    try:
        campaign = read(made.document)
    except CampaignProblems:
        return
    for short in not_in_stock(campaign):
        asked = (
            f"{wording.figure(short.needed)} of {short.of} are in what is put together, {wording.figure(short.there)}"
        )
        asked += " are in hand, is that right? What is in it and not in hand is made again"
        yield made.field_of(pointer(*short.where)), f"{short.of} {short.needed}, {short.there}", asked


def _rising_prices(made: Made) -> Iterator[tuple[str, str, str]]:
    """Field, all its prices and what to ask, of each list of price breaks in which more costs more for each."""
    for section, (amount, price) in BREAKS.items():
        for name, bought in made.document.get(section, {}).items():
            steps = [(float(step[amount]), float(step[price])) for step in bought.get("price_breaks", [])]
            base = float(bought.get(price, 0))
            if found := dearer_for_more(base, steps):
                (_, less), (more, dear) = found
                field = made.fields.get(pointer(section, name, "price_breaks", 0, price), "")
                rise = f"from {wording.figure(more)} on each costs {wording.figure(dear)}"
                asked = f"{rise}, and before that {wording.figure(less)}, is that right? More usually costs less"
                yield field, f"{base:g}; {said_prices(steps, str)}", asked


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
