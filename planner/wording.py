"""Dates, money and masses as people read them: `Fri 19 Feb 2027`, points for decimals, thin spaces."""

from collections.abc import Callable
from datetime import date, datetime, timedelta

from babel.numbers import get_currency_precision

Write = Callable[[float, int], str]
"""How a number is written with so many places."""
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


def day_or_moment(when: date | datetime) -> str:
    """`Mon 11 Jan 2027` of a day, `Mon 11 Jan 2027 06:27` of a moment."""
    return moment(when) if isinstance(when, datetime) else day(when)


def short_moment(when: datetime) -> str:
    """`Mon 11 Jan 06:27`: where the year stands beside it."""
    return f"{short_day(when)} {when:%H:%M}"


def number(value: float, places: int = 0) -> str:
    """Grouped by thin spaces: `31 156` or `1 533.7`."""
    text = f"{value:,.{places}f}".replace(",", THIN)
    return text.replace("-", "−")


def figure(value: float, write: Write = number) -> str:
    """Four figures that mean something, whatever the size: `0.0204`, `43.8`, `1 205`."""
    whole = len(str(int(abs(value))))
    places = max(0, 4 - whole) if abs(value) >= 1 else 4
    while places and round(value, places) == round(value, places - 1):
        places -= 1
    return write(value, places)


def signed(value: float, places: int = 0, write: Write = number) -> str:
    """A difference with its sign: `+3`, `−1 204.5`, `0`."""
    text = write(value, places)
    zero = not any(figure in "123456789" for figure in text)
    return write(0, places) if zero else f"+{text}" if value > 0 else text


def money(amount: float, currency: str) -> str:
    """Whole units from a thousand on, otherwise to the currency's smallest: `31 156 GBP`, `12.50 GBP`, `420 JPY`."""
    return f"{number(amount, 0)}{THIN}{currency}" if abs(amount) >= 999.5 else exact_money(amount, currency)


def exact_money(amount: float, currency: str) -> str:
    """To the currency's smallest unit (ISO 4217 as the Unicode CLDR has it): `31 156.20 GBP`, `31 156 JPY`."""
    return f"{number(amount, get_currency_precision(currency))}{THIN}{currency}"


def kilograms(kg: float, write: Write = number) -> str:
    """Three figures that mean something: `1 534 kg`, `31.2 kg`, `1.51 kg`, `86 g`."""
    if kg == 0:
        return f"0{THIN}kg"
    if abs(kg) < 0.0995:
        return f"{write(kg * 1000, 0 if kg >= 0.00995 else 1)}{THIN}g"
    places = 0 if abs(kg) >= 99.95 else 1 if abs(kg) >= 9.995 else 2
    return f"{write(kg, places)}{THIN}kg"


def per_cent(share: float, write: Write = number) -> str:
    """`5.7 %`, `95 %`; with one more place below one per cent."""
    value = share * 100
    whole = abs(value - round(value)) < 0.05
    return f"{write(value, 2 if 0 < abs(value) < 0.995 else 0 if whole else 1)}{THIN}%"


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


def plain(text: str) -> str:
    """The same with the spaces and the minus that every terminal can show."""
    return text.replace(THIN, " ").replace("−", "-")
