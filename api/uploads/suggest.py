"""Which column probably means what, from its heading and its cells: a suggestion, never applied by itself."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from api.uploads.add_ons import AddOnTexts
from api.uploads.cells import DATE_ORDERS, DateOrder, Spoiled, count_of, date_of
from api.uploads.choices import ColourCells
from api.uploads.known import Known, Names, plain
from api.uploads.limits import UnreadableFile
from api.uploads.mapping import NOT_ANSWERED
from api.uploads.orders import first_rows, personal_columns
from api.uploads.personal import personal_heading, shown
from api.uploads.rows import Cell, Source, Table, is_blank
from api.uploads.status import MOST_VALUES, looks_like_status, values_of
from planner.dispatch.countries import country_code

HEADING_WORDS = {
    "ref": r"\b(order|pledge|supporter|ref|reference|id|number|no|nr|bestellnummer|commande|pedido)\b",
    "tier": r"\b(tier|reward|level|product|item|package|paket|stufe|contrepartie|recompensa)\b",
    "colour": r"\b(colou?rs?|colourways?|farben?|couleurs?|colore?s?|variant|finish)\b",
    "country": r"\b(country|country code|land|pays|pais|paese|destination)\b",
    "opens": r"\b(opens?|can be packed|pack(?:ed)? from|address known)\b",
    "date": r"\b(date|datum|fecha|data|placed|created|\w+ed (?:at|on)|(?:chos|giv|tak)en (?:at|on)|ordered)\b",
    "count": r"\b(count|quantity|qty|orders|number of orders|units|anzahl|menge|quantite|cantidad)\b",
    "status": r"\b(status|state|stage|paid|payment|standing|zustand|etat|estado|stato)\b",
    "add-ons": r"\b(add ?ons?|extras?|also|zusatz|extra items?|supplements?|extras dazu)\b",
}
"""What a column's heading may say, in plain letters."""
_SAMPLE = 200
_FEW = 20
_CELLS = 12_000
"""Cells looked at for suggestions: of a table with very many columns fewer rows, down to 20."""
_LONGEST = 500
"""Letters of a cell that may say a tier, colours, a number: longer ones are prose."""


@dataclass(frozen=True)
class Suggestion:
    """A column proposed for a field. field: ref, tier, colour, country, date, opens, count, status, add-ons (in words)
    or `add-on ID`.

    strength: 0 to 1; why: heading, cells, or both, in words.
    """

    field: str
    column: str
    strength: float
    why: str


@dataclass(frozen=True)
class Preview:
    """What the maker sees before choosing: how the file was read, its columns, a few rows, suggestions.

    sample: first rows, personal columns left out of `columns` altogether.
    """

    source: Source
    columns: tuple[str, ...]
    personal: dict[str, str]
    sample: tuple[tuple[str, ...], ...]
    suggestions: tuple[Suggestion, ...]
    date_order: DateOrder | None
    statuses: Mapping[str, int]
    """What the proposed status column says in all rows -> rows."""


def preview(table: Table, known: Known, rows: int = 5) -> Preview:
    """Look at a table's headings and first rows. date_order: dmy or mdy where the dates seen leave one only.

    Raises UnreadableFile where the table has headings only.
    """
    by_cells = personal_columns(table)
    personal = {h: k for h in table.headings if (k := personal_heading(h) or by_cells.get(h))}
    columns = tuple(h for h in table.headings if h not in personal)
    cells: dict[str, list[Cell]] = {h: [] for h in columns}
    sample: list[tuple[str, ...]] = []
    for row in first_rows(table, min(_SAMPLE, max(_FEW, _CELLS // len(table.headings)))):
        by_heading = dict(zip(table.headings, row.cells, strict=False))
        for heading in columns:
            cells[heading].append(by_heading.get(heading))
        if len(sample) < rows:
            sample.append(tuple("" if (c := by_heading.get(h)) is None else shown(c) for h in columns))
    if not any(row.fault or not is_blank(row.cells) for row in table.rows()):
        _nothing_below(table.source)
    suggestions = _suggest(cells, known)
    order = _date_order([cell for s in suggestions if s.field in ("date", "opens") for cell in cells[s.column]])
    status = next((s.column for s in suggestions if s.field == "status"), None)
    statuses = _statuses(table, status) if status else {}
    return Preview(table.source, columns, personal, tuple(sample), suggestions, order, statuses)


def _nothing_below(source: Source) -> None:
    """Says so where another sheet may hold the orders. Raises UnreadableFile where there is none."""
    if not source.other_sheets:
        raise UnreadableFile(
            "there are headings, but no order stands below them", "export the table again, with the orders in it"
        )
    source.notes.append("no order stands below the headings of this sheet: choose another sheet")


def _statuses(table: Table, column: str) -> dict[str, int]:
    """Values of a column over all rows -> rows; the first ones where there are too many."""
    at = table.headings.index(column)
    cells = (shown(row.cells[at]) for row in table.rows() if at < len(row.cells) and not is_blank(row.cells))
    return dict(list(values_of("" if text == "None" else text for text in cells).items())[:MOST_VALUES])


def _suggest(cells: dict[str, list[Cell]], known: Known) -> tuple[Suggestion, ...]:
    tiers, colours = Names(known.tiers), Names(known.colourways)
    choices = ColourCells(colours, Names(known.products), Names(NOT_ANSWERED), "")
    extras = AddOnTexts(known, colours, {}, "")
    looks = {
        "tier": lambda text: tiers.find(text) is not None,
        "colour": choices.names_colours,
        "country": lambda text: country_code(text) is not None,
        "date": lambda text: _is_date(text),
        "opens": lambda text: _is_date(text),
        "count": lambda text: _is_count(text),
        "add-ons": extras.names_some,
    }
    found = []
    for heading, column in cells.items():
        texts = [" ".join(str(c).split()) for c in column if c is not None and str(c).strip()]
        short = [text for text in texts if len(text) <= _LONGEST]
        for what, words in HEADING_WORDS.items():
            by_heading = bool(re.search(words, plain(heading)))
            share = sum(looks[what](t) for t in short) / len(texts) if texts and what in looks else 0.0
            if what == "status":
                share = looks_like_status(texts) if len(short) == len(texts) else 0.0
            if what == "add-ons" and not by_heading:
                share = share if any(not _is_count(t) for t in short) else 0.0
            if what == "ref":
                share = 0.8 if texts and len(set(texts)) == len(texts) and max(map(len, texts)) <= 40 else 0.0
                share *= by_heading  # any column of different words would look like a reference
            if what in ("count", "opens") and not by_heading:
                continue
            strength = round(0.35 * by_heading + 0.65 * share, 3)
            if strength >= 0.35 and (share >= 0.3 or by_heading):
                why = [f"heading {heading!r}"] * by_heading + [f"{share:.0%} of its cells"] * (share > 0)
                found.append(Suggestion(what, heading, strength, " and ".join(why)))
        found += [
            Suggestion(f"add-on {name}", heading, 0.35, f"heading {heading!r}")
            for name in sorted(known.add_ons)
            if plain(name) in plain(heading)
        ]
    return _best_use(found)


def _best_use(found: Sequence[Suggestion]) -> tuple[Suggestion, ...]:
    """Each column for one field, each field one column; colours may have several, in the order of the table."""
    taken: dict[str, Suggestion] = {}
    done: set[str] = set()
    for suggestion in sorted(found, key=lambda s: -s.strength):
        if suggestion.column in taken or (suggestion.field in done and suggestion.field not in {"colour", "add-ons"}):
            continue
        taken[suggestion.column] = suggestion
        done.add(suggestion.field)
    order = list(dict.fromkeys(s.column for s in found))
    return tuple(sorted(taken.values(), key=lambda s: (s.field, order.index(s.column))))


def _is_date(text: str) -> bool:
    for order in DATE_ORDERS:
        try:
            return date_of(None, text, order) is not None
        except Spoiled:
            continue
    return False


def _is_count(text: str) -> bool:
    try:
        return count_of(text) > 0
    except Spoiled:
        return False


def _date_order(column: Sequence[Cell]) -> DateOrder | None:
    """The one order under which every day of the column exists; None where both do or none is needed."""
    texts = [c.strip() for c in column if isinstance(c, str) and re.match(r"\d{1,2}[./-]\d{1,2}[./-]\d{4}", c.strip())]
    possible: list[DateOrder] = []
    for order in DATE_ORDERS:
        try:
            for text in texts:
                date_of(None, text, order)
        except Spoiled:
            continue
        possible.append(order)
    return possible[0] if texts and len(possible) == 1 else None
