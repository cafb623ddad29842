"""What a section of the form holds, said in its summary line, so that it can stay folded and still be found."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from api.languages.sentences import said
from api.pages.form_fields import Section
from api.pages.form_rows import named

MOST_NAMED = 6
"""Things named in a summary line; more are counted."""


@dataclass(frozen=True)
class Held:
    """names: of the first things in it, each once. more: how many things are not named."""

    names: list[str]
    more: int


def held(section: Section, rows: Sequence[Mapping[str, str]]) -> Held:
    """What its rows say: what each begins with; of a section of a single row what it asks of everybody."""
    if section.only:
        return Held([f"{said(ask.label)}: {rows[0][ask.name]}" for ask in section.often if rows[0].get(ask.name)], 0)
    first = [_begins(section, row) for row in rows if named(row, section)]
    names = list(dict.fromkeys(filter(None, first)))
    return Held(names[:MOST_NAMED], max(0, len(names) - MOST_NAMED))


def _begins(section: Section, row: Mapping[str, str]) -> str:
    """The first thing a row says, which is its name wherever it has one."""
    return next((row[ask.name] for ask in section.asks if row.get(ask.name, "") not in ("", ask.usual)), "")
