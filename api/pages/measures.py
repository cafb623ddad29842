"""Figures, hours and days as people type them: `£55`, `1,200`, `95 g`, `8am`, `26 Feb 2027`; what is unclear is asked.

Which unit a field is in stands at the end of its name (`mass_g`, `clamp_kn`); a figure in another unit of the same
measure is turned into it. Nothing that could mean two things is guessed.
"""

import math
import re
import unicodedata
from contextlib import suppress
from datetime import date, datetime
from functools import cache
from string import ascii_uppercase

from babel import Locale, UnknownLocaleError
from babel.numbers import get_currency_symbol

from api.languages import gettext, wording
from api.languages.reading import now_reading

_FIGURE = re.compile(r"([^\d\s.,+-]{0,4})\s*([+-]?[\d.,'\u00a0\u202f\u2019 ]*\d)\s*([^\d]*)")
_GROUPED = re.compile(r"[+-]?\d{1,3}(?:([.,])\d{3}|([.,])\d{2}(?:\2\d{2})*\2\d{3})(?:\1\d{3})*")
"""In threes by one mark, or as in India: twos, then a three."""
_UNITS: dict[str, dict[str, float]] = {
    "g": {
        "g": 1,
        "gram": 1,
        "grams": 1,
        "kg": 1000,
        "mg": 0.001,
        "oz": 28.349523125,
        "lb": 453.59237,
        "lbs": 453.59237,
    },
    "kg": {"kg": 1, "kgs": 1, "g": 0.001, "t": 1000, "lb": 0.45359237, "lbs": 0.45359237},
    "kg_h": {"kg/h": 1, "kg": 1, "lb/h": 0.45359237, "lb": 0.45359237, "g/s": 3.6},
    "kn": {"kn": 1, "n": 0.001, "mn": 1000, "t": 9.80665, "tonne": 9.80665, "tonnes": 9.80665},
    "mm": {"mm": 1, "cm": 10, "m": 1000, "in": 25.4, "inches": 25.4},
    "c": {"°c": 1, "c": 1, "degrees": 1},
    "s": {"s": 1, "sec": 1, "secs": 1, "seconds": 1, "min": 60, "minutes": 60},
    "minutes": {"min": 1, "mins": 1, "minutes": 1, "h": 60, "hours": 60, "s": 1 / 60, "sec": 1 / 60},
    "hours": {"h": 1, "hr": 1, "hrs": 1, "hours": 1, "hour": 1, "min": 1 / 60, "minutes": 1 / 60},
    "days": {"d": 1, "day": 1, "days": 1, "week": 7, "weeks": 7},
    "share": {"%": 0.01, "percent": 0.01, "per cent": 0.01},
    "keep_promise": {"%": 0.01, "percent": 0.01, "per cent": 0.01},
    "percent": {"%": 1, "percent": 1, "per cent": 1},
    "efficiency": {"%": 0.01, "percent": 0.01, "per cent": 0.01},
}
"""End of a field's name -> unit -> how much of the field's own unit it is. Pound and ounce: international avoirdupois;
tonne: of force, at standard gravity 9.80665 m/s2 (ISO 80000-4)."""
_MONEY = (
    "price",
    "lot_price",
    "price_per_kg",
    "rate_per_hour",
    "setter_rate_per_hour",
    "operator_rate_per_hour",
    "late_cost_per_day",
    "early_cost_per_day",
    "packing_rate",
    "disposal_per_kg",
    "price_per_kwh",
    "pallet_price",
    "changeover",
    "colour_change",
    "shift",
    "least_a_run",
    "cost",
)
_COUNTED = ("pcs", "pieces", "pc", "people", "orders", "shots", "parcels", "x")
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_CLOCK = r"(\d{1,2})(?:[:.h](\d{2}))?\s*(am|pm)?"
_MOMENT = rf"(.+?)(?:\s*[T,]\s*|\s+(?:at|um)\s+|\s+){_CLOCK}(?:\s*(?:uhr|h))?"
_SPAN = re.compile(rf"{_CLOCK}\s*(?:-|–|—|to|till|until)\s*{_CLOCK}(\s*x\s*\d+)?", re.IGNORECASE)


def no_number(text: str) -> str:
    """Said of what is none."""
    return gettext("%(said)s is no number; write digits, with a unit if you like") % {"said": repr(text[:40])}


def figure(text: str, field: str, currency: str) -> float:
    """The number a field's text says, in the field's unit. Raises ValueError in the maker's words."""
    match = _FIGURE.fullmatch(text.strip())
    if match is None:
        raise ValueError(no_number(text))
    before, digits, after = match[1].strip(), match[2], match[3].strip().rstrip(".").casefold()
    value = _digits(digits, exact=_end(field) not in {"", "kn", "days"})
    if before or after:
        value *= _factor(text, before, after, field, currency)
    if not math.isfinite(value):
        raise ValueError(no_number(text))
    return value


def clock(text: str) -> str:
    """`4pm` or `16 Uhr` as `16:00`; what cannot be read is left as it is."""
    match = re.fullmatch(rf"{_CLOCK}\s*(uhr|h)?", text.strip(), re.IGNORECASE)
    return _time(*match.groups()[:3]) if match and any(match.groups()[1:]) else text.strip()


def spans(text: str) -> str:
    """Hours of a day: `8am-4.30pm` as `08:00-16:30`. Raises ValueError for `9-5`, which could be either."""
    found = []
    for piece in text.split(","):
        match = _SPAN.fullmatch(piece.strip())
        if match is None:
            found.append(piece.strip())
            continue
        first, last = match.groups()[:3], match.groups()[3:6]
        bare = not (first[1] or first[2] or last[1] or last[2])
        if bare and int(last[0]) <= int(first[0]) < 12:
            told = f"{piece.strip()!r} may end in the afternoon or in the night; write am and pm, or 09:00-17:00"
            raise ValueError(told)
        found.append(f"{_time(*first)}-{_time(*last)}{(match[7] or '').replace(' ', '').replace('x', ' x')}")
    return ", ".join(found)


def day(text: str) -> str:
    """`26 Feb 2027`, `Feb 26, 2027`, `26.2.2027` as 2027-02-26, months in the reader's language too.

    What cannot be read is left. Raises ValueError."""
    words = re.findall(r"\d+|[^\W\d_]+", re.sub(r"(\d)(?:st|nd|rd|th)\b", r"\1", text.casefold()))
    months = [month for word in words if word.isalpha() and (month := _month(word))]
    numbers = [int(word) for word in words if word.isdigit()]
    years = [n for n in numbers if n > 1900]
    if not (len(words) == 3 and len(years) == 1) or re.fullmatch(r"\d{4}-\d\d-\d\d", text.strip()):
        return text.strip()
    others = [n for n in numbers if n <= 31]
    if len(months) == 1 and len(others) == 1:
        return _date(text, years[0], months[0], others[0])
    if not months and len(others) == 2 and numbers[2] == years[0]:
        one, two = others
        if one <= 12 and two <= 12 and one != two and not re.fullmatch(r"\d+\.\s*\d+\.\s*\d+", text.strip()):
            raise ValueError(f"{text[:40]!r} may be day-month or month-day; write it like 26 Feb 2027")
        return _date(text, years[0], *((two, one) if two <= 12 else (one, two)))  # with points the day comes first
    return text.strip()


def moment(text: str) -> str:
    """A day and a time, `11 Jan 2027 6am`, as 2027-01-11T06:00; what cannot be read is left. Raises ValueError."""
    match = re.fullmatch(_MOMENT, text.strip(), re.IGNORECASE)
    if match is None or re.fullmatch(r"\d{4}-\d\d-\d\dT.*", text.strip()):
        return day(text)
    on = day(match[1])
    hour = _time(*match.groups()[1:4])
    return f"{on}T{hour}" if re.fullmatch(r"\d{4}-\d\d-\d\d", on) else text.strip()


def said_moment(text: str) -> str:
    """2027-01-11T06:00:00 as its reader writes it, `11 Jan 2027 06:00`; what is none, or finer, or could not be read
    again, is left as it is."""
    try:
        when = datetime.fromisoformat(text)
    except ValueError:
        return text
    if when.tzinfo is not None or when.second or when.microsecond:
        return text
    told = f"{wording.plain_day(when)} {when:%H:%M}"
    try:
        return told if moment(told) == f"{when:%Y-%m-%dT%H:%M}" else text
    except ValueError:
        return text


def _month(word: str) -> int:
    """The month that a word is, or begins like; 0: none."""
    if word[:3] in _MONTHS:
        return _MONTHS.index(word[:3]) + 1
    names = Locale.parse(now_reading().locale or "en").months["format"]["wide"]
    alike = [month for month, name in names.items() if len(word) >= 3 and name.casefold().startswith(word)]
    return alike[0] if len(alike) == 1 else 0


def _date(text: str, year: int, month: int, number: int) -> str:
    try:
        return date(year, month, number).isoformat()
    except ValueError:
        raise ValueError(f"{text[:40]!r} is no day of the calendar") from None


def _time(hour: str, minute: str | None, half: str | None) -> str:
    number = int(hour)
    if half:
        number = number % 12 + (12 if half.casefold() == "pm" else 0)
    return f"{number:02}:{minute or '00'}"


def _end(field: str) -> str:
    name = field.rpartition(".")[2]
    return next((end for end in _UNITS if name == end or name.endswith(f"_{end}")), "")


def _digits(text: str, exact: bool) -> float:
    """exact: a measure, where `1,200` could be 1.2; else it is 1200."""
    whole = re.split(r"[.,]", text)[0]
    if re.search(r"[\s'\u2019]", whole) and not re.fullmatch(r"[+-]?\d{1,3}(?:[\s'\u2019]\d{3})+", whole):
        raise ValueError(gettext("%(said)s is no number; write its digits together") % {"said": repr(text)})
    plain = re.sub(r"[\s'\u2019]", "", text)
    marks = re.findall(r"[.,]", plain)
    if not marks:
        return float(plain)
    last = plain.rfind(marks[-1])
    behind = len(plain) - last - 1
    if len(marks) > 1:
        decimal = marks[-1] not in marks[:-1]
        front, rest = (plain[:last], "." + plain[last + 1 :]) if decimal else (plain, "")
        if not _GROUPED.fullmatch(front):
            raise ValueError(gettext("%(said)s is no number; write its digits together") % {"said": repr(text)})
        return float(re.sub("[.,]", "", front) + rest)
    if marks[0] == "," and behind == 3 and not plain.lstrip("+-").startswith("0"):
        if exact:
            said = {"said": repr(text), "one": plain.replace(",", ""), "other": plain.replace(",", ".")}
            raise ValueError(gettext("%(said)s may be %(one)s or %(other)s; leave out the comma") % said)
        return float(plain.replace(",", ""))
    return float(plain.replace(",", "."))


@cache
def _symbols(currency: str) -> set[str]:
    """How it is written in English and where it is from, which its first two letters say (ISO 4217): $ and CA$."""
    found = {get_currency_symbol(currency, "en")}
    with suppress(UnknownLocaleError, ValueError):
        found.add(get_currency_symbol(currency, Locale.parse(f"und_{currency[:2]}")))
    plain = {unicodedata.normalize("NFKC", symbol).rstrip(".").upper() for symbol in found}
    return plain | {symbol.lstrip(ascii_uppercase) or symbol for symbol in plain}


def _factor(text: str, before: str, after: str, field: str, currency: str) -> float:
    name = field.rpartition(".")[2]
    if name in _MONEY:
        sign = unicodedata.normalize("NFKC", before + after).split("/")[0].replace("each", "").strip(" .").upper()
        if sign == currency or sign in _symbols(currency):
            return 1.0
        raise ValueError(f"{text[:40]!r}: the campaign counts in {currency}; write the amount in it")
    known = _UNITS.get(_end(field), {})
    if not before and after in known:
        return known[after]
    if not before and not known and after in _COUNTED:
        return 1.0
    said = {"said": repr(text[:40]), "units": ", ".join(list(known)[:4])}
    if known:
        raise ValueError(gettext("%(said)s is no number here; units may be %(units)s") % said)
    raise ValueError(gettext("%(said)s is no number here; write digits only") % said)
