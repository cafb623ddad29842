"""Rows of the form from a spreadsheet: cells copied from it under headings that are called as the form's fields are.

A carrier's tariff may also stand as carriers print it: weights down, countries or regions across.
"""

import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from starlette.datastructures import FormData

from api.languages.sentences import said
from api.pages.form_fields import BY_NAME, Ask, Section
from api.pages.form_rows import MOST_ROWS, Filled, blank, named
from api.pages.shorthand import Names
from api.uploads.csv_table import CsvTable
from api.uploads.known import plain
from api.uploads.limits import Limits, UnreadableFile
from api.uploads.rows import Cell, Row, Table, is_blank

INTO, CELLS = "pasted_into", "pasted"
_LIMITS = Limits(file_bytes=500_000, rows=2_000, columns=100, cells=50_000, blank_rows=2_000)
_WEIGHT = re.compile(r"(?:.*?[^\d.,])?(\d[\d.,]*)\s*(kg|g|lbs?|oz)?", re.IGNORECASE)
_WEIGHTS = re.compile(r"weight|gewicht|\bup to\b|\bbis\b|\bkg\b|\bg\b|\blb\b", re.IGNORECASE)
_UNIT = re.compile(r"\s*(?:\([^)]*\)|\[[^\]]*\]|,.*)\s*$")
LEAST = 4
"""Letters of a field's name that a longer heading must begin with to be taken for it: `Cycle time` for `Cycle, s`."""


@dataclass
class Pasted:
    """What came of it. section, first: where the first row went; "" and -1: nowhere. text: the cells where they are not
    taken, so that nothing is lost. told: why, or which columns were left out."""

    section: str = ""
    first: int = -1
    text: str = ""
    into: str = ""
    told: list[str] = field(default_factory=list)


def taken(filled: Filled, sent: FormData) -> Pasted:
    """Puts pasted rows into the form; all of them or none."""
    into, text = str(sent.get(INTO, "")), str(sent.get(CELLS, ""))
    section = BY_NAME.get(into)
    if section is None or section.only:
        return Pasted(text=text, told=["Say which section the rows go into."])
    if not text.strip():
        return Pasted(into=into, told=["There are no cells yet; copy them with their row of headings."])
    try:
        table = CsvTable(io.BytesIO(text.encode("utf-8", "replace")), _LIMITS, "utf-8")
        rows, left_out = _tariff(table) if _is_tariff(section, table) else _rows(section, table)
    except UnreadableFile as refused:
        return Pasted(text=text, into=into, told=[str(refused)])
    if not rows:
        labels = ", ".join(str(said(ask.label)) for ask in section.asks)
        return Pasted(text=text, into=into, told=[f"No row was taken. Headings may be: {labels}"])
    there = [row for row in filled.rows[into] if named(row, section)]
    first = len(there)
    names = Names(row.get("id", "") for row in there)
    for row in rows:
        same = names.find(row["id"]) if row.get("id") else None
        if same is None:
            there.append(blank(section) | row)
        else:
            at = next(n for n, one in enumerate(there) if Names([one.get("id", "")]).find(same))
            there[at] |= {ask: text for ask, text in row.items() if ask != "id"}
            first = min(first, at)
    if len(there) > MOST_ROWS:
        return Pasted(
            text=text, into=into, told=[f"{len(there)} rows are more than the {MOST_ROWS} that a section takes."]
        )
    filled.rows[into] = there
    told = [f"Not taken, since no field here is called so: {', '.join(left_out)}"] if left_out else []
    return Pasted(into, first, into=into, told=told)


def _rows(section: Section, table: Table) -> tuple[list[dict[str, str]], list[str]]:
    """Rows by field, and headings that are no field's."""
    fields = _fields(section, table.headings)
    left_out = [heading for n, heading in enumerate(table.headings) if n not in fields]
    found = [
        {ask: text for n, ask in fields.items() if (text := _text(row.cells, n))} for row in _told(table) if row.cells
    ]
    return [row for row in found if row], left_out


def _told(table: Table) -> Iterator[Row]:
    """Rows that hold anything. Raises UnreadableFile for one that cannot be cut into cells."""
    for row in table.rows():
        if row.fault:
            raise UnreadableFile(f"row {row.number} cannot be read: {row.fault}", "mend it")
        if not is_blank(row.cells):
            yield row


def _fields(section: Section, headings: Sequence[str]) -> dict[int, str]:
    """Column -> the field it is called like: just so; else by what it begins with, or the only one that begins so. No
    field twice."""
    found: dict[int, str] = {}
    for looks in (_same, _longer, _shorter):
        for n, heading in enumerate(headings):
            free = [ask for ask in section.asks if ask.name not in found.values()]
            if n not in found and (ask := looks(_plain(heading), _plain(_UNIT.sub("", heading)), free)):
                found[n] = ask
    return found


def _same(whole: str, bare: str, asks: Sequence[Ask]) -> str:
    return next((ask.name for ask in asks if {whole, bare} & _names(ask)), "")


def _longer(whole: str, bare: str, asks: Sequence[Ask]) -> str:
    fits = [
        (len(name), ask.name) for ask in asks for name in _names(ask) if len(name) >= LEAST and whole.startswith(name)
    ]
    return max(fits, default=(0, ""))[1]


def _shorter(whole: str, bare: str, asks: Sequence[Ask]) -> str:
    fits = [ask.name for ask in asks if len(bare) >= LEAST and any(name.startswith(bare) for name in _names(ask))]
    return fits[0] if len(fits) == 1 else ""


def _names(ask: Ask) -> set[str]:
    """What a field may be called: its name, its label in both languages, with its unit and without."""
    labels = {ask.label, str(said(ask.label))}
    return {_plain(one) for label in labels for one in (label, label.partition(",")[0])} | {_plain(ask.name)}


def _plain(text: str) -> str:
    """One spelling for many, as of names in cells, and without the marks between words."""
    return re.sub(r"\W+", "", plain(text))


def _is_tariff(section: Section, table: Table) -> bool:
    """Whether a table of rates has weights down and places across."""
    own = _fields(section, table.headings)
    return section.name == "rates" and "rates" not in own.values() and bool(_WEIGHTS.search(table.headings[0]))


def _tariff(table: Table) -> tuple[list[dict[str, str]], list[str]]:
    """A row of the form for each place."""
    steps: Mapping[int, list[str]] = {n: [] for n in range(1, len(table.headings))}
    unit = "g" if re.search(r"\bg\b", table.headings[0]) else "lb" if re.search(r"\blb\b", table.headings[0]) else ""
    for row in _told(table):
        weight = _WEIGHT.fullmatch(_text(row.cells, 0))
        if weight is None:
            raise UnreadableFile(
                f"row {row.number} gives no weight: {_text(row.cells, 0)[:40]!r}", "write it like 0.25"
            )
        kg = f"{weight[1]} {weight[2] or unit}".strip()
        for n, step in steps.items():
            if price := _text(row.cells, n):
                step.append(f"{kg} at {price}")
    places = {n: heading.strip() for n, heading in enumerate(table.headings)}
    return [{"to": places[n], "rates": "; ".join(step)} for n, step in steps.items() if step], [
        places[n] for n, step in steps.items() if not step
    ]


def _text(cells: Sequence[Cell], n: int) -> str:
    return str(cells[n]).strip() if n < len(cells) and cells[n] is not None else ""
