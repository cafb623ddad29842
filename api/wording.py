"""Dates, money and masses as people read them: `Fri 19 Feb 2027`, points for decimals, thin spaces."""

from datetime import date, datetime, timedelta
from typing import Protocol

from planner.campaign.unknown_melts import UNKNOWN
from planner.plan.document import Closing, OthersBefore, Purge, Run

THIN = "\u202f"
"""A narrow space that never breaks: between thousands, and between a figure and its unit."""
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def day(when: date | datetime | None) -> str:
    """`Mon 11 Jan 2027`, which nobody reads as another day; an en dash where there is none."""
    return "–" if when is None else f"{short_day(when)} {when.year}"


def short_day(when: date | datetime) -> str:
    """`Mon 11 Jan`: where the year stands beside it."""
    return f"{WEEKDAYS[when.weekday()]} {when.day} {MONTHS[when.month - 1]}"


def moment(when: datetime | None) -> str:
    """`Mon 11 Jan 2027 06:27`, wall-clock time of the offset the moment carries."""
    return "–" if when is None else f"{day(when)} {when:%H:%M}"


def number(value: float, places: int = 0) -> str:
    """Grouped by thin spaces: `31 156` or `1 533.7`."""
    text = f"{value:,.{places}f}".replace(",", THIN)
    return text.replace("-", "−")


def figure(value: float) -> str:
    """Four figures that mean something, whatever the size: `0.0204`, `43.8`, `1 205`."""
    whole = len(str(int(abs(value))))
    places = max(0, 4 - whole) if abs(value) >= 1 else 4
    text = number(value, places)
    return text.rstrip("0").rstrip(".") if "." in text else text


def signed(value: float, places: int = 0) -> str:
    """A difference with its sign: `+3`, `−1 204.5`, `0`."""
    text = number(value, places)
    zero = not any(figure in "123456789" for figure in text)
    return number(0, places) if zero else f"+{text}" if value > 0 else text


def money(amount: float, currency: str) -> str:
    """Whole units from a thousand on, otherwise two places: `31 156 GBP`."""
    return f"{number(amount, 0 if abs(amount) >= 999.5 else 2)}{THIN}{currency}"


def kilograms(kg: float) -> str:
    """Three figures that mean something: `1 534 kg`, `31.2 kg`, `1.51 kg`, `86 g`."""
    if kg == 0:
        return f"0{THIN}kg"
    if abs(kg) < 0.0995:
        return f"{number(kg * 1000, 0 if kg >= 0.00995 else 1)}{THIN}g"
    places = 0 if abs(kg) >= 99.95 else 1 if abs(kg) >= 9.995 else 2
    return f"{number(kg, places)}{THIN}kg"


SAFE, EVEN = 0.8, 0.5
"""Chances from which a promised day is called safe, and at least even."""


def per_cent(share: float) -> str:
    """`5.7 %`; with one more place below one per cent."""
    value = share * 100
    return f"{number(value, 2 if 0 < abs(value) < 0.995 else 1)}{THIN}%"


def kept(days_late: int, promised: bool, chance: float | None) -> str:
    """What becomes of a promised day: late as planned, or how sure it is that it holds.

    A plan that is in time on paper says so only where nobody has looked how sure that is, or where it is safe enough.
    """
    if not promised:
        return "nothing promised"
    if days_late:
        return f"{days(days_late)} late"
    if chance is None:
        return "on time if all goes as planned"
    holds = f"holds in {per_cent(chance)}"
    if chance >= SAFE:
        return f"on time, {holds}"
    return f"not safe: {holds}" if chance >= EVEN else f"more likely late: {holds}"


def duration(seconds: float) -> str:
    """`9 h 20 min`, `12 min`, `40 s`."""
    whole = timedelta(seconds=round(seconds))
    minutes = round(whole.total_seconds() / 60)
    if whole.total_seconds() < 60:
        return f"{round(whole.total_seconds())}{THIN}s"
    if minutes < 60:
        return f"{minutes}{THIN}min"
    hours, rest = divmod(minutes, 60)
    return f"{number(hours)}{THIN}h" + (f" {rest}{THIN}min" if rest else "")


def days(count: int) -> str:
    """`1 day`, `3 days`."""
    return f"{count} day" if count == 1 else f"{number(count)} days"


def counted(count: int, one: str, many: str | None = None) -> str:
    """`1 run`, `21 runs`."""
    return f"{number(count)} {one if count == 1 else many or one + 's'}"


class InParts(Protocol):
    """Parcels that are one part of each of their orders."""

    @property
    def part(self) -> int: ...
    @property
    def parts(self) -> int: ...


def part_of(parcels: InParts) -> str:
    """`, part 1 of 2` behind what the parcels are; nothing where their orders go out whole."""
    return f", part {parcels.part} of {parcels.parts}" if parcels.parts > 1 else ""


def heat_and_bridge(purge: Purge) -> str:
    """What comes before a purge where the barrel must get to another heat, closed by a semicolon; else nothing."""
    said = f"heat or cool for {duration(purge.heat_seconds)}; " if purge.heat_seconds else ""
    if purge.bridge:
        said += f"{kilograms(purge.bridge_kg)} of {purge.bridge} goes between (counted in the kilograms), then "
    return said


def closing_said(closing: Closing) -> str:
    """What a closing clears out of which place, and with what, in words."""
    places = ", ".join(
        f"{one.where} {one.barrel} of {one.from_} with {kilograms(one.kg)} of {one.to}" for one in closing.cleared
    )
    return f"clear {places} ({duration(closing.seconds)}); the next start purges that out again and pays for it"


def others_left(told: OthersBefore) -> str:
    """What others left in a press, in words."""
    barrels = ", ".join(
        f"nobody knows what in barrel {n}: ask them before you heat it" if melt == UNKNOWN else f"{melt} in barrel {n}"
        for n, melt in enumerate(told.left, start=1)
    )
    return f"others worked here until {moment(told.until)}; they leave their tool and {barrels}"


def others_take_over(run: Run) -> str:
    """What to do after a run where others take its press over; nothing where they do not."""
    if run.others_from is None:
        return ""
    closing = run.stretches[-1].closing if run.stretches else None
    cleared = {one.barrel: one.to for one in closing.cleared if one.where == "barrel"} if closing else {}
    barrels = ", ".join(f"barrel {n} holds {cleared.get(n, melt)}" for n, melt in enumerate(run.melts, start=1))
    return (
        f"others take the press over from {moment(run.others_from)}: lock out and take {run.tool} out before then, and "
        f"tell them that {barrels}"
    )


def purge_way(purge: Purge) -> str:
    """How a purge with compound or over a bridge is made, in brackets; nothing for melt alone."""
    if purge.bridge:
        return f" ({kilograms(purge.bridge_kg)} of {purge.bridge} between, while the barrel heats or cools)"
    if not purge.compound_kg:
        return ""
    soak = f", soak {duration(purge.soak_seconds)}" if purge.soak_seconds else ""
    return f" (purging compound {kilograms(purge.compound_kg)}{soak}, rinse {kilograms(purge.rinse_kg)})"
