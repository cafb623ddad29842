"""The form that says what a table's columns mean: read, filled in with what is proposed, and turned into a mapping."""

import base64
import binascii
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from starlette.datastructures import FormData, UploadFile

from api.uploads.add_ons import NOTHING
from api.uploads.cells import DATE_ORDERS
from api.uploads.known import Known
from api.uploads.limits import UnreadableFile
from api.uploads.mapping import ColumnMapping, MappingProblem, OneColour
from api.uploads.report import OrdersRead
from api.uploads.rows import Where
from api.uploads.status import proposed
from api.uploads.suggest import Preview
from planner.dispatch.countries import NAMES

LARGEST = 5_000_000
"""Bytes of a spreadsheet: written as text in a form it must stay below what one request may hold."""
SAID = {
    "tier": "tier",
    "colour": "colour or colours chosen",
    "ref": "order number",
    "country": "country",
    "count": "how many identical orders",
    "status": "status: paid, refunded, ...",
    "add-ons": "add-ons, in words",
    "date": "date",
    "opens": "day from which it can be packed",
}
SEVERAL = {"colour", "add-ons"}
MOST_WORDINGS = 60
"""Unknown words asked about at once; the most frequent first."""


@dataclass
class Filled:
    """The form as it was filled in.

    columns: heading -> field, or nothing. statuses: value -> counts, not, or nothing.
    """

    kept: str = ""
    file_name: str = ""
    sheet: str = ""
    heading_row: str = ""
    columns: dict[str, str] = field(default_factory=dict)
    statuses: dict[str, str] = field(default_factory=dict)
    ignored: list[str] = field(default_factory=list)
    country_otherwise: str = ""
    date_order: str = ""
    separator: str = ""
    wordings: str = ""
    one_colour: OneColour = "first"
    accept: bool = False
    mode: str = "replace"
    """replace: the table takes the place of all orders; add: its rows are added to them."""

    def where(self) -> Where:
        """Where in the file the table is. Raises UnreadableFile."""
        return Where.said(self.sheet, self.heading_row)


@dataclass(frozen=True)
class Unknown:
    """Words nobody knows: where they stand, what they may mean. pressed: what the "did you mean" button sends."""

    field: str
    wording: str
    near: str | None
    rows: int
    choices: tuple[str, ...]
    pressed: str


def filled_in(form: FormData) -> tuple[bytes, Filled]:
    """The spreadsheet's bytes and what the form says. Raises UnreadableFile."""
    sent = form.get("file")
    name = str(form.get("file_name", ""))[:200]
    if isinstance(sent, UploadFile) and sent.filename:
        content, name = sent.file.read(LARGEST + 1), sent.filename[:200]
    else:
        try:
            content = base64.b64decode(str(form.get("kept", "")), validate=True)
        except binascii.Error:
            content = b""
    if len(content) > LARGEST:
        raise UnreadableFile(f"more than {LARGEST:,} bytes", "split the file")
    if not content and not (isinstance(sent, UploadFile) and sent.filename):
        raise UnreadableFile("no file was chosen", "choose the spreadsheet")

    def all_of(name: str) -> list[str]:
        return [str(value) for value in form.getlist(name)]

    filled = Filled(
        kept=base64.b64encode(content).decode(),
        file_name=name,
        sheet=str(form.get("sheet", "")),
        heading_row=_heading_row(form),
        columns=dict(zip(all_of("heading"), all_of("use"), strict=False)),
        statuses=dict(zip(all_of("status_value"), all_of("status_use"), strict=False)),
        ignored=all_of("ignored"),
        country_otherwise=str(form.get("country_otherwise", "")).strip().upper(),
        date_order=str(form.get("date_order", "")),
        separator=str(form.get("separator", "")),
        wordings=str(form.get("wordings", "")),
        one_colour="all" if form.get("one_colour") == "all" else "first",
        accept=form.get("accept") == "yes",
        mode="add" if form.get("mode") == "add" else "replace",
    )
    meant = [json.loads(pressed) for pressed in all_of("mean")[:1]]
    meant += [json.loads(chosen) for chosen in all_of("means") if chosen]
    for one in meant:
        if isinstance(one, list) and len(one) == 3 and all(isinstance(word, str) for word in one):
            filled.wordings = f"{filled.wordings.rstrip()}\n{one[0]}: {one[1]} = {one[2]}".lstrip()
    return content, filled


def _heading_row(form: FormData) -> str:
    """As typed; blank, so that it is found, where another sheet was chosen and the row is still the last one's."""
    row = str(form.get("heading_row", "")).strip()
    other_sheet = str(form.get("sheet", "")) != str(form.get("sheet_before", form.get("sheet", "")))
    return "" if other_sheet and row == str(form.get("heading_row_before", "")) else row


REMEMBERED = (
    "columns", "statuses", "ignored", "country_otherwise", "date_order", "separator", "wordings", "one_colour",
)  # fmt: skip
"""What of the form holds for the next table of the same campaign."""


def remembered(filled: Filled) -> dict[str, Any]:
    """What to remember of the form, as JSON."""
    return {name: getattr(filled, name) for name in REMEMBERED}


def recall(filled: Filled, said: Mapping[str, Any], known: Known) -> None:
    """What was said of the table before, into a form with what is proposed: for columns of the same name, and words."""
    before: Mapping[str, str] = said["columns"]
    if {name for name, use in before.items() if use} <= filled.columns.keys():
        filled.columns = {name: before.get(name, "") for name in filled.columns}
    filled.statuses |= said["statuses"]
    filled.ignored = list(said["ignored"])
    filled.one_colour = said.get("one_colour", filled.one_colour)
    for name in ("country_otherwise", "date_order", "separator"):
        setattr(filled, name, said[name] or getattr(filled, name))
    filled.wordings = "\n".join(line for line in str(said["wordings"]).splitlines() if _means_something(line, known))


def _means_something(line: str, known: Known) -> bool:
    try:
        return bool(line.strip()) and bool(wordings_of(line, known))
    except ValueError:
        return False  # what it meant is not in the campaign any more


def suggest(filled: Filled, seen: Preview) -> None:
    """What is proposed, into a form that says nothing of the columns yet."""
    filled.columns = dict.fromkeys(seen.columns, "")
    filled.columns |= {one.column: one.field for one in seen.suggestions}
    filled.date_order = seen.date_order or ""
    filled.heading_row = str(seen.source.heading_row)
    filled.sheet = seen.source.sheet
    fresh(filled, seen.statuses)


def fresh(filled: Filled, values: Mapping[str, int]) -> None:
    """What is proposed for values of the status that the form says nothing of yet."""
    for value, said in proposed(values).items():
        filled.statuses.setdefault(value, {"counts": "counts", "never": "not"}.get(said, ""))


def fields_of(known: Known) -> list[tuple[str, str]]:
    """What a column may say, with its words."""
    return [*SAID.items(), *((f"add-on {name}", f"number of {name}") for name in sorted(known.add_ons))]


def unknown_of(read: OrdersRead | None, known: Known) -> list[Unknown]:
    """Words nobody knows, the most frequent first."""
    choices = {
        "tier": tuple(sorted(known.tiers)),
        "colour": tuple(sorted(known.colourways)),
        "country": tuple(sorted(NAMES)),
        "add_on": (*sorted(known.add_ons), NOTHING),
    }
    return [
        Unknown(where, wording, near, rows, choices[where], json.dumps([where, wording, near]))
        for where, wording, near, rows in (read.unknown_wordings() if read else [])[:MOST_WORDINGS]
        if where in choices
    ]


def mapping_of(filled: Filled, columns: Sequence[str], known: Known) -> ColumnMapping:
    """The mapping the form describes. Raises MappingProblem, and ValueError for wordings that mean nothing."""
    by_use: dict[str, list[str]] = {}
    for heading in columns:
        if use := filled.columns.get(heading):
            by_use.setdefault(use, []).append(heading)
    wrong = [
        (SAID.get(use, use), f"{len(names)} columns are marked so", "mark one")
        for use, names in by_use.items()
        if use not in SEVERAL and len(names) > 1
    ]
    if "tier" not in by_use:
        wrong.append(("tier", "no column says the tier", "mark the column that does"))
    if filled.country_otherwise and not re.fullmatch("[A-Z]{2}", filled.country_otherwise):
        wrong.append(("country", f"{filled.country_otherwise} is no country code", "write two letters, e.g. GB"))
    if wrong:
        raise MappingProblem(wrong)
    one = {use: names[0] for use, names in by_use.items()}
    status = one.get("status")
    return ColumnMapping(
        tier=one["tier"],
        colours=tuple(by_use.get("colour", ())),
        ref=one.get("ref"),
        country=one.get("country"),
        date=one.get("date"),
        opens=one.get("opens"),
        count=one.get("count"),
        add_ons={use.removeprefix("add-on "): name for use, name in one.items() if use.startswith("add-on ")},
        add_on_texts=tuple(by_use.get("add-ons", ())),
        status=status,
        counts=tuple(value for value, use in filled.statuses.items() if use == "counts" and status),
        not_counted=tuple(value for value, use in filled.statuses.items() if use == "not" and status),
        ignored=tuple(filled.ignored),
        colour_separator=filled.separator,
        country_otherwise=filled.country_otherwise or None,
        date_order=next((order for order in DATE_ORDERS if order == filled.date_order), None),
        wordings=wordings_of(filled.wordings, known),
        one_colour=filled.one_colour,
    )


def wordings_of(text: str, known: Known) -> dict[str, dict[str, str]]:
    """`what the table says = what it means`, one a line, with `colour: ` before it where a name could be either."""
    found: dict[str, dict[str, str]] = {"tier": {}, "colour": {}, "country": {}, "add_on": {}}
    meanings: dict[str, set[str]] = {
        "tier": set(known.tiers),
        "colour": set(known.colourways),
        "add_on": {*known.add_ons, NOTHING},
        "country": set(NAMES),
    }
    for line in text.splitlines():
        if not line.strip():
            continue
        wording, equals, name = (part.strip() for part in line.rpartition("="))
        where, colon, rest = wording.partition(": ")
        if colon and where in meanings:
            wording = rest.strip()
            fields = [where]
        else:
            fields = list(meanings)
        fitting = [field_name for field_name in fields if name in meanings[field_name]]
        if not equals or not wording or not fitting:
            raise ValueError(f"`{line.strip()[:80]}` names no tier, colourway, add-on or country")
        found[fitting[0]][wording] = name
    return found
