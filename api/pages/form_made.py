"""What a form is made into: the document so far, which field each of its values came from, and what cannot be read."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any, TypeVar

from api.pages import shorthand
from api.pages.form_rows import Filled, rows_of
from api.pages.measures import day, figure
from api.pages.shorthand import Names
from planner.campaign.base import tidy
from planner.campaign.pointers import pointer

Value = TypeVar("Value")
Row = Mapping[str, str]


@dataclass
class Made:
    """The document, the field of each pointer, and what could not be turned into a value, by field."""

    document: dict[str, Any] = field(default_factory=lambda: {"document": "campaign/1"})
    fields: dict[str, str] = field(default_factory=dict)
    problems: list[tuple[str, str]] = field(default_factory=list)
    names: Mapping[str, Names] = field(default_factory=dict)

    def field_of(self, place: str) -> str:
        """The field a problem's pointer came from: its own, or that of the nearest above or below; "" for the whole."""
        steps = place.split("/")
        while len(steps) > 1:
            where = "/".join(steps)
            if where in self.fields:
                return self.fields[where]
            below = next((name for known, name in self.fields.items() if known.startswith(where + "/")), "")
            if below:
                return below
            steps.pop()
        return ""

    def meant(self, section: str, text: str) -> str:
        """The thing of a section of the document that a row is about: what its text means, where it is empty the only
        one there is. "": no such thing, or nobody says which."""
        there = self.document.get(section, {})
        found = Names(there).meant(text) or (next(iter(there)) if len(there) == 1 else "")
        return found if found in there else ""

    def put(self, steps: list[str | int], value: Any, field_name: str) -> None:
        """One value into the document. Nothing ("", none, empty) is left out, so that what is usual holds."""
        self.fields[pointer(*steps)] = field_name
        if value in ("", None, [], {}):
            return
        here: Any = self.document
        for step, following in pairwise(steps):
            inner: Any = [] if isinstance(following, int) else {}
            if isinstance(here, list):
                assert isinstance(step, int)
                while len(here) <= step:
                    here.append(type(inner)())
                here = here[step]
            else:
                here = here.setdefault(step, inner)
        last = steps[-1]
        if isinstance(here, list):
            here.append(value)
        else:
            here[last] = value

    def number(self, steps: list[str | int], text: str, field_name: str) -> None:
        """A number; what is none is a problem of its field."""
        if re.fullmatch(r"[+-]?\d{1,15}", text):
            self.put(steps, int(text), field_name)
            return
        currency = str(self.document.get("currency", "EUR"))
        value = self.heard(lambda said: figure(said, field_name, currency), text, field_name) if text else None
        self.put(steps, int(value) if value is not None and value.is_integer() else value, field_name)

    def day(self, steps: list[str | int], text: str, field_name: str) -> None:
        """A day; what may be two days is a problem of its field."""
        self.put(steps, self.heard(day, text, field_name), field_name)

    def counts(self, section: str, text: str, field_name: str) -> dict[str, int] | None:
        """Things of a section and how many of each; what cannot be read is a problem of its field."""
        return self.heard(lambda said: shorthand.counted(said, self.names[section]), text, field_name)

    def hours(self, steps: list[str | int], text: str, field_name: str) -> None:
        """Hours of a week."""
        self.put(steps, self.heard(shorthand.week, text, field_name), field_name)

    def on_dates(self, steps: list[str | int], text: str, field_name: str) -> None:
        """Hours of single days."""
        self.fields[pointer(*steps)] = field_name
        for on, spans in (self.heard(shorthand.dated, text, field_name) or {}).items():
            self.put([*steps, on], spans, field_name)

    def days(self, steps: list[str | int], text: str, field_name: str) -> None:
        """Days, by commas; what may be two days is a problem of its field."""
        self.put(steps, self.heard(shorthand.days_of, text, field_name), field_name)

    def answer(self, steps: list[str | int], text: str, field_name: str) -> None:
        """Yes or no."""
        self.put(steps, self.heard(shorthand.yes_or_no, text, field_name), field_name)

    def heard(self, hear: Callable[[str], Value], text: str, field_name: str, wrong: str = "") -> Value | None:
        """What the text says; None and a problem of the field where it says nothing that can be read."""
        try:
            return hear(text)
        except ValueError as error:
            self.problems.append((field_name, f"{text[:40]!r} is {wrong}" if wrong else str(error)))
            return None


def entries(made: Made, filled: Filled, section: str) -> list[tuple[str, dict[str, str], str]]:
    """The section's rows with their names; what is named twice or not at all is told."""
    return [(at, row, name_of(made, section, at + "id", row["id"])) for at, row in rows_of(filled, section)]


def name_of(made: Made, section: str, field_name: str, text: str) -> str:
    """A row's name as the document has it; none, or one that stands there already, is told."""
    name = tidy(text)
    if not name:
        made.problems.append((field_name, "give it a name"))
        name = f"unnamed-{field_name.split('.')[1]}"
    elif pointer(section, name) in made.fields:
        made.problems.append((field_name, f"{name} stands here twice; give each its own name"))
    made.fields[pointer(section, name)] = field_name
    return name


def numbers(made: Made, here: list[str | int], at: str, row: Row, *names: str) -> None:
    """Numbers that are called in the form as in the document."""
    for name in names:
        made.number([*here, name], row[name], at + name)
