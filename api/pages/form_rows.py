"""The form that grows: its rows as filled in, rows that come and go."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from api.pages.form_fields import BY_NAME, HEAD, SECTIONS, Section
from api.pages.measures import said_moment

MOST_ROWS = 60
WAS = "was"
"""Under which name a row's thing stands in the document the form was filled from; beside its fields."""


@dataclass
class Filled:
    """The form as it was filled in. rows: section -> rows of field -> text. opened: sections that stood open."""

    head: dict[str, str] = field(default_factory=dict)
    rows: dict[str, list[dict[str, str]]] = field(default_factory=dict)
    opened: set[str] = field(default_factory=set)


def empty(today: date) -> Filled:
    """One row of each kind, with what is usual already there; it starts on the next Monday."""
    head = {ask.name: ask.usual for ask in HEAD}
    head["start"] = said_moment(f"{today + timedelta(days=7 - today.weekday())}T06:00")
    return Filled(head, {section.name: [blank(section)] for section in SECTIONS})


def blank(section: Section) -> dict[str, str]:
    """A row as it is before anything is typed."""
    return {ask.name: ask.usual for ask in section.asks}


def read(form: Mapping[str, Any]) -> Filled:
    """What was sent: `section.row.field`, and by script `open.section`. Rows are kept as they are, empty ones too."""
    filled = Filled({ask.name: str(form.get(ask.name, "")).strip() for ask in HEAD})
    filled.opened = {section.name for section in SECTIONS if f"open.{section.name}" in form}
    for section in SECTIONS:
        rows = []
        for number in range(1 if section.only else MOST_ROWS):
            names = {ask.name: f"{section.name}.{number}.{ask.name}" for ask in section.asks}
            if not any(name in form for name in names.values()):
                break
            row = {ask: str(form.get(name, "")).strip() for ask, name in names.items()}
            was = str(form.get(f"{section.name}.{number}.{WAS}", "")).strip()
            rows.append(row | ({WAS: was} if was else {}))
        filled.rows[section.name] = rows or [blank(section)]
    return filled


def said(filled: Filled) -> dict[str, Any]:
    """As a draft is kept."""
    return {"head": filled.head, "rows": filled.rows}


def heard(content: Mapping[str, Any]) -> Filled:
    """A kept draft as the form; what it does not say is blank, also in sections and fields that came later."""
    head = {ask.name: str(content.get("head", {}).get(ask.name, "")) for ask in HEAD}
    kept = content.get("rows", {})
    rows = {}
    for section in SECTIONS:
        unsaid = dict.fromkeys((ask.name for ask in section.asks), "")
        rows[section.name] = [unsaid | row for row in kept.get(section.name, [])] or [blank(section)]
    return Filled(head, rows)


def fields(filled: Filled) -> dict[str, str]:
    """Every field that says something, by a name people can follow: `tool 2, cycle time, s`."""
    found = {ask.label: filled.head.get(ask.name, "") for ask in HEAD}
    for section in SECTIONS:
        for number, row in enumerate(filled.rows[section.name], start=1):
            which = f"{section.one} {number}" if section.one else section.title
            found |= {f"{which}, {ask.label}": row.get(ask.name, "") for ask in section.asks}
    return {name: text for name, text in found.items() if text}


def grow(filled: Filled, name: str) -> bool:
    """One more row; False where there is no such section or it is full."""
    section = BY_NAME.get(name)
    if section is None or section.only or len(filled.rows[name]) >= MOST_ROWS:
        return False
    filled.rows[name].append(blank(section))
    return True


def shrink(filled: Filled, name: str, number: int) -> bool:
    """A row less; the last one is emptied. False where there is no such row."""
    section = BY_NAME.get(name)
    if section is None or not 0 <= number < len(filled.rows[name]):
        return False
    del filled.rows[name][number]
    filled.rows[name] = filled.rows[name] or [blank(section)]
    return True


def named(row: Mapping[str, str], section: Section) -> bool:
    """Whether a row says anything beyond what is usual."""
    return section.only or any(row.get(ask.name, "") not in ("", ask.usual) for ask in section.asks)


def rows_of(filled: Filled, name: str) -> list[tuple[str, dict[str, str]]]:
    """The rows of a section that say anything, each with what its fields' names begin with."""
    section = BY_NAME[name]
    return [(f"{name}.{n}.", row) for n, row in enumerate(filled.rows[name]) if named(row, section)]
