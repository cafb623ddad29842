"""Rows of a table become order lines; what cannot be one is set aside with its reason.

Rows in = lines taken + rows set aside: each row ends in exactly one of the two, whatever it holds.
"""

from collections.abc import Iterator, Sequence
from datetime import date

from api.uploads.cells import Spoiled, add_on_of, count_of, date_of, text_of
from api.uploads.known import Known, Names, TierChoices, plain
from api.uploads.limits import Limits
from api.uploads.mapping import ColumnMapping, check_mapping
from api.uploads.personal import personal_cells, personal_heading, shown
from api.uploads.report import OrderLine, OrdersRead, Repeat, SetAside
from api.uploads.rows import Cell, Row, Table, is_blank
from planner.dispatch.countries import country_code

_LOOKED_AT = 200
_CACHED = 10_000


def read_orders(table: Table, mapping: ColumnMapping, known: Known, limits: Limits | None = None) -> OrdersRead:
    """Read all rows. Raises MappingProblem before the first row, UnreadableFile where the file breaks off as a whole.

    Only mapped columns are ever looked at; personal ones cannot be mapped.
    """
    by_cells = personal_columns(table)
    check_mapping(mapping, table.headings, known, by_cells)
    reader = _Reader(table, mapping, known, limits or Limits())
    read = OrdersRead(table.source)
    used = set(mapping.columns().values())
    for heading in table.headings:
        if heading in used:
            continue
        if kind := personal_heading(heading) or by_cells.get(heading):
            read.dropped[heading] = kind
    read.unused = tuple(h for h in table.headings if h not in used and h not in read.dropped)
    read.notes += table.source.notes
    for row in table.rows(reader.plausible):
        if not row.fault and is_blank(row.cells):
            read.blank_rows += 1
            continue
        read.rows += 1
        outcome = reader.take(row)
        if isinstance(outcome, OrderLine):
            read.lines.append(outcome)
            read.missing_choices += outcome.colourways.count(None) * outcome.count
        else:
            read.set_aside.append(outcome)
        if row.cut_short:
            read.notes.append(f"the file ends without a line end: check that row {row.number} is whole")
    read.repeats = reader.repeats()
    return read


def personal_columns(table: Table) -> dict[str, str]:
    """Columns whose first cells look personal, with the kind: a second guard besides headings."""
    columns: list[list[Cell]] = [[] for _ in table.headings]
    for row in first_rows(table, _LOOKED_AT):
        for column, cell in zip(columns, row.cells, strict=False):
            column.append(cell)
    kinds = {h: personal_cells(column) for h, column in zip(table.headings, columns, strict=True)}
    return {heading: kind for heading, kind in kinds.items() if kind}


def first_rows(table: Table, most: int) -> Iterator[Row]:
    """The first rows that hold something and could be cut into cells."""
    for row in table.rows():
        if row.fault or is_blank(row.cells):
            continue
        yield row
        most -= 1
        if most <= 0:
            return


class _Reader:
    def __init__(self, table: Table, mapping: ColumnMapping, known: Known, limits: Limits) -> None:
        self._mapping, self._known, self._limits = mapping, known, limits
        self._width = len(table.headings)
        self._at = {what: table.headings.index(heading) for what, heading in mapping.columns().items()}
        self._furthest = max(self._at.values())
        words = mapping.wordings
        self._tiers = Names(known.tiers, words.get("tier"))
        self._colours = Names(known.colourways, words.get("colour"))
        self._countries = {plain(word): code for word, code in words.get("country", {}).items()}
        self._not_answered = Names(mapping.not_answered)
        self._colour_columns = [f"colour {n}" for n in range(1, len(mapping.colours) + 1)]
        self._first_row: dict[object, int] = {}
        self._repeated: dict[object, list[int]] = {}
        self._shared: dict[object, tuple[str | None, ...]] = {}
        self._no_add_ons: dict[str, int] = {}
        self._country_cache: dict[str, str | None] = {}
        self._day_cache: dict[str, date | None] = {}

    def plausible(self, cells: Sequence[Cell]) -> bool:
        """As wide as the headings and with a tier we know: a row of its own."""
        tier = cells[self._at["tier"]] if len(cells) == self._width else None
        return isinstance(tier, str) and self._tiers.find(tier.strip()) is not None

    def take(self, row: Row) -> OrderLine | SetAside:
        """The row as an order line, or set aside."""
        what = "row"
        try:
            self._check_shape(row)
            texts: dict[str, str] = {}
            for what, at in self._at.items():
                texts[what] = text_of(row.cells[at] if at < len(row.cells) else None, self._limits)
            what = "tier"
            tier = self._tier(texts["tier"])
            what = "colours"
            colourways = self._colourways(tier, texts)
            add_ons = self._no_add_ons
            for name in self._mapping.add_ons:
                what = f"add-on {name}"
                if number := add_on_of(texts[what]):
                    add_ons = {**add_ons, name: number}
            what = "country"
            country = self._country(texts.get("country", ""))
            what = "count"
            count = self._count(texts)
            what = "date"
            day = self._date(row, texts)
            what = "ref"
            ref = texts.get("ref", "")
            if len(ref) > 60 or "@" in ref:
                raise Spoiled("is too long or holds an e-mail address", "use a short order number, or map no reference")
            self._check_repeat(row.number, ref, (tier.id, colourways, tuple(add_ons.items()), country, day))
        except Spoiled as spoiled:
            return self._aside(row, what, spoiled)
        return OrderLine(row.number, ref, tier.id, colourways, add_ons, country, count, day)

    def repeats(self) -> list[Repeat]:
        """References, or contents in a table of counts, that came more than once, with their rows."""
        kept = self._mapping.repeats == "keep" or self._mapping.ref is None
        return [
            Repeat(what if isinstance(what, str) else "the same contents", tuple(rows), kept)
            for what, rows in self._repeated.items()
        ]

    def _check_shape(self, row: Row) -> None:
        if row.fault:
            raise Spoiled(row.fault, "mend the row in the file")
        width = len(row.cells)
        if width > self._width and not is_blank(row.cells[self._width :]):
            raise Spoiled(
                f"has {width} cells under {self._width} headings", "put cells that hold the delimiter in quote marks"
            )
        if width <= self._furthest or (row.cut_short and width < self._width):
            raise Spoiled(f"ends after {width} of {self._width} cells", "complete the row; the file may be cut short")

    def _tier(self, text: str) -> TierChoices:
        if not text:
            raise Spoiled("is empty", "name the tier")
        found = self._tiers.find(text)
        if found is None:
            raise Spoiled(f"{shown(text)!r} is not a tier", self._tiers.remedy(text))
        return self._known.tiers[found]

    def _colourways(self, tier: TierChoices, texts: dict[str, str]) -> tuple[str | None, ...]:
        cells = [texts[name] for name in self._colour_columns]
        if len(cells) == 1 and tier.choices != 1 and not self._unanswered(cells[0]):
            separator = self._mapping.colour_separator
            cells = [part.strip() for part in cells[0].replace("\n", separator).split(separator)]
        beyond = [cell for cell in cells[tier.choices :] if not self._unanswered(cell)]
        if beyond:
            raise Spoiled(
                f"tier {tier.id} takes {tier.choices} choices, the row has {tier.choices + len(beyond)}",
                "check the tier, or clear the surplus choices",
            )
        chosen: list[str | None] = []
        filled = cells[: tier.choices] + [""] * (tier.choices - len(cells))
        for (product, offered), cell in zip(tier.units, filled, strict=True):
            if self._unanswered(cell):
                chosen.append(None)
                continue
            colourway = self._colours.find(cell)
            if colourway is None:
                raise Spoiled(f"{shown(cell)!r} is not a colourway", self._colours.remedy(cell))
            if colourway not in offered:
                raise Spoiled(f"{product} does not come in {colourway}", f"choose {', '.join(sorted(offered))}")
            chosen.append(colourway)
        found = tuple(chosen)
        return self._shared.setdefault(found, found)

    def _unanswered(self, text: str) -> bool:
        return not text or self._not_answered.find(text) is not None

    def _country(self, text: str) -> str:
        if not text:
            if self._mapping.country_otherwise is None:
                raise Spoiled("is empty", "name the country, or say which one such rows mean")
            return self._mapping.country_otherwise
        if text not in self._country_cache:
            if len(self._country_cache) > _CACHED:
                self._country_cache.clear()
            self._country_cache[text] = self._countries.get(plain(text)) or country_code(text)
        code = self._country_cache[text]
        if code is None:
            raise Spoiled(f"{shown(text)!r} is not a country we know", "write its two-letter code (ISO 3166-1)")
        return code

    def _count(self, texts: dict[str, str]) -> int:
        if self._mapping.count is None:
            return 1
        number = count_of(texts["count"])
        if number == 0:
            raise Spoiled("is 0: nothing to plan", "leave the row out, or give its number of orders")
        return number

    def _date(self, row: Row, texts: dict[str, str]) -> date | None:
        if self._mapping.date is None:
            return None
        cell, text = row.cells[self._at["date"]], texts["date"]
        if not isinstance(cell, str):
            return date_of(cell, text, self._mapping.date_order)
        if text not in self._day_cache:
            if len(self._day_cache) > _CACHED:
                self._day_cache.clear()
            self._day_cache[text] = date_of(cell, text, self._mapping.date_order)
        return self._day_cache[text]

    def _check_repeat(self, number: int, ref: str, contents: object) -> None:
        key: object = ref or None
        if self._mapping.ref is None:
            key = contents if self._mapping.count is not None else None
        if key is None:
            return
        first = self._first_row.setdefault(key, number)
        if first == number:
            return
        self._repeated.setdefault(key, [first]).append(number)
        if self._mapping.ref is not None and self._mapping.repeats == "set aside":
            raise Spoiled(
                f"is the same as in row {first}", "leave it out if it is the same order; else give it its own"
            )

    def _aside(self, row: Row, what: str, spoiled: Spoiled) -> SetAside:
        cells = {}
        if not row.fault and len(row.cells) <= self._width:
            # with surplus cells nobody knows which column a cell belongs to: then none is kept
            cells = {name: shown(row.cells[at]) for name, at in self._at.items() if at < len(row.cells)}
            cells = {name: "" if text == "None" else text for name, text in cells.items()}
        return SetAside(row.number, row.line, what, spoiled.reason, spoiled.remedy, cells)
