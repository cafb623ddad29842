"""Rows of a table become order lines; what cannot be one is set aside with its reason.

Rows in = lines taken + rows set aside: each row ends in exactly one of the two, whatever it holds.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from itertools import islice

from api.uploads.add_ons import AddOnTexts
from api.uploads.cells import Spoiled, add_on_of, count_of, date_of, text_of
from api.uploads.choices import ColourCells, in_all
from api.uploads.known import Known, Names, TierChoices, order_key, plain
from api.uploads.limits import Limits
from api.uploads.listed import without_money
from api.uploads.mapping import ColumnMapping, check_mapping
from api.uploads.personal import as_kept, as_text, personal_cells, personal_heading, shown
from api.uploads.report import LEFT_ASIDE, WHY, OrderLine, OrdersRead, Repeat, SetAside, set_aside_sheet
from api.uploads.rows import Cell, Row, Table, is_blank
from api.uploads.status import MOST_VALUES, is_total, never_counts, refund_spoken_of, speaks_of_refund, takes_back
from planner.dispatch.countries import country_code

_LOOKED_AT = 200
_WALKED = 10_000
"""Rows, blank ones too, among which the first ones are."""
_TOLD_LEFT = plain(LEFT_ASIDE)
_CACHED = 10_000
_Contents = tuple[TierChoices, tuple[str | None, ...], Mapping[str, int], str]
"""What an order holds and where it goes: tier, colourways, add-ons, country."""


def read_orders(
    table: Table,
    mapping: ColumnMapping,
    known: Known,
    limits: Limits | None = None,
    before: Sequence[OrderLine] = (),
) -> OrdersRead:
    """Read all rows. before: lines taken already, whose references count as theirs.

    Raises MappingProblem before the first row, UnreadableFile where the file breaks off as a whole. Personal columns
    cannot be mapped and are never kept; those of names and notes are looked through for words of refund alone. Of
    several rows with one reference, one that does not count holds back the others, wherever it stands.
    """
    by_cells = personal_columns(table)
    check_mapping(mapping, table.headings, known, by_cells)
    read = OrdersRead(table.source)
    used = set(mapping.columns().values())
    for heading in table.headings:
        if heading in used:
            continue
        if kind := personal_heading(heading) or by_cells.get(heading):
            read.dropped[heading] = kind
    read.columns = tuple(h for h in table.headings if h in used)
    read.unused = tuple(h for h in table.headings if h not in used and h not in read.dropped)
    reader = _Reader(table, mapping, known, limits or Limits(), read.dropped)
    reader.know(before)
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
    _hold_back(table, reader, read)
    read.repeats = reader.repeats()
    if len(mapping.colours) == 1:
        read.one_colour = sum(line.count for line in read.lines if _one_for_several(line, known))
    read.statuses = dict(reader.statuses.most_common(MOST_VALUES))
    return read


def _one_for_several(line: OrderLine, known: Known) -> bool:
    """Whether one unit alone of an order has its colour, which the others come in too."""
    chosen = [colourway for colourway in line.colourways if colourway is not None]
    return len(chosen) == 1 and in_all(known.tiers[line.tier], chosen[0])


def _hold_back(table: Table, reader: "_Reader", read: OrdersRead) -> None:
    """Lines taken under a reference of which another row does not count are set aside after all."""
    held = {line.row: at for line in read.lines if (at := reader.held_back_by(line.ref, line.row))}
    if not held:
        return
    read.lines = [line for line in read.lines if line.row not in held]
    read.missing_choices = sum(line.colourways.count(None) * line.count for line in read.lines)
    for row in table.rows(reader.plausible):
        if row.number in held:
            why = held_back(held[row.number])
            read.set_aside.append(replace(reader.aside(row, "status", why), held_by=held[row.number]))
    read.set_aside.sort(key=lambda aside: aside.row)


def rows_given_back(
    table: Table, mapping: ColumnMapping, known: Known
) -> tuple[Sequence[str], Sequence[Sequence[Cell]]]:
    """Read all rows and give back those that are set aside; raises what `read_orders` raises."""
    return given_back(table, read_orders(table, mapping, known))


def given_back(table: Table, read: OrdersRead) -> tuple[Sequence[str], Sequence[Sequence[Cell]]]:
    """The table again with only the rows set aside, all its columns and why: for whoever sent it, kept nowhere."""
    asides = {aside.row: aside for aside in read.set_aside}
    width = len(table.headings)
    cells = {row.number: tuple(as_text(cell) for cell in row.cells) for row in table.rows() if row.number in asides}
    whole = [
        replace(
            aside, kept=(*kept[:width], *[""] * (width - len(kept))) if len(kept := cells.get(n, ())) <= width else ()
        )
        for n, aside in asides.items()
    ]
    return set_aside_sheet(table.headings, whole)


def held_back(row: int) -> Spoiled:
    """Why a row is not taken whose reference also stands in a row that does not count."""
    return Spoiled(
        f"row {row} has the same reference and does not count",
        "mend that row's status, or give this one its own reference",
    )


def personal_columns(table: Table) -> dict[str, str]:
    """Columns whose first cells look personal, with the kind: a second guard besides headings."""
    columns: list[list[Cell]] = [[] for _ in table.headings]
    for row in first_rows(table, _LOOKED_AT):
        for column, cell in zip(columns, row.cells, strict=False):
            column.append(cell)
    kinds = {h: personal_cells(column) for h, column in zip(table.headings, columns, strict=True)}
    return {heading: kind for heading, kind in kinds.items() if kind}


def first_rows(table: Table, most: int) -> Iterator[Row]:
    """The first rows that hold something and could be cut into cells; none is looked for far down."""
    for row in islice(table.rows(), _WALKED):
        if row.fault or is_blank(row.cells):
            continue
        yield row
        most -= 1
        if most <= 0:
            return


def _cell(row: Row, at: int | None) -> Cell:
    """A cell of a row; None where the row has none there, or the table no such column."""
    return row.cells[at] if at is not None and at < len(row.cells) else None


class _Reader:
    def __init__(
        self, table: Table, mapping: ColumnMapping, known: Known, limits: Limits, dropped: Mapping[str, str]
    ) -> None:
        self._mapping, self._known, self._limits = mapping, known, limits
        self._width = len(table.headings)
        self._at = {what: table.headings.index(heading) for what, heading in mapping.columns().items()}
        self._furthest = max(self._at.values())
        words = mapping.wordings
        self._tiers = Names(known.tiers, words.get("tier"))
        self._colours = Names(known.colourways, words.get("colour"))
        self._countries = {plain(word): code for word, code in words.get("country", {}).items()}
        separator = mapping.colour_separator
        self._cells = ColourCells(
            self._colours,
            Names(known.products),
            Names(mapping.not_answered),
            "" if separator == "," else separator,
            mapping.one_colour == "all",
        )
        self._add_on_texts = AddOnTexts(known, self._colours, words.get("add_on", {}), separator)
        self._colour_columns = [f"colour {n}" for n in range(1, len(mapping.colours) + 1)]
        self._counts = {plain(value) for value in mapping.counts}
        self._not_counted = {plain(value) for value in mapping.not_counted}
        self._kept_at = sorted(self._at.values())
        self._searched = [
            (heading, n)
            for n, heading in enumerate(table.headings)
            if heading not in (*mapping.ignored, *WHY, mapping.status)
            and dropped.get(heading, "name") in {"name", "free text"}
        ]
        self._told_at = table.headings.index(WHY[1]) if WHY[1] in table.headings else None
        self._refunded = table.refunded_elsewhere(mapping.ref) if mapping.ref is not None else {}
        self._not_an_order: dict[str, int] = {}
        self.statuses: Counter[str] = Counter()
        self._first_row: dict[object, int] = {}
        self._first_ref: dict[str, str] = {}
        self._repeated: dict[object, list[int]] = {}
        self._shared: dict[object, tuple[str | None, ...]] = {}
        self._no_add_ons: dict[str, int] = {}
        self._contents_in = [what for what in self._at if what not in {"ref", "count", "date", "opens", "status"}]
        self._contents_seen: dict[tuple[str, ...], _Contents] = {}
        """What such cells were found to say: a large table says few different things."""
        self._country_cache: dict[str, str | None] = {}
        self._day_cache: dict[str, date | None] = {}

    def know(self, lines: Sequence[OrderLine]) -> None:
        """Lines taken before this table: a row with the reference of one of them repeats it."""
        for line in lines:
            if line.ref:
                self._first_row.setdefault(order_key(line.ref), line.row)
                self._first_ref.setdefault(order_key(line.ref), line.ref)

    def plausible(self, cells: Sequence[Cell]) -> bool:
        """As wide as the headings and with a tier we know: a row of its own."""
        tier = cells[self._at["tier"]] if len(cells) == self._width else None
        return isinstance(tier, str) and self._tiers.find(tier.strip()) is not None

    def take(self, row: Row) -> OrderLine | SetAside:
        """The row as an order line, or set aside."""
        what = "row"
        try:
            self._check_shape(row)
            what = "status"
            self._check_marked(row)
            self._check_status(row)
            what = "row"
            self._check_total(row)
            texts: dict[str, str] = {}
            for what, at in self._at.items():
                texts[what] = text_of(row.cells[at] if at < len(row.cells) else None, self._limits)
            said = tuple([texts[name] for name in self._contents_in])
            contents = self._contents_seen.get(said)
            if contents is None:
                what = "tier"
                tier = self._tier(texts["tier"])
                what = "colours"
                colourways = self._colourways(tier, texts)
                add_ons: Mapping[str, int] = self._no_add_ons
                for name in self._mapping.add_ons:
                    what = f"add-on {name}"
                    if number := add_on_of(texts[what]):
                        add_ons = {**add_ons, name: number}
                for at in range(1, len(self._mapping.add_on_texts) + 1):
                    what = f"add-ons {at}"
                    for name, number in self._add_on_texts.read(texts[what]).items():
                        add_ons = {**add_ons, name: add_ons.get(name, 0) + number}
                what = "country"
                contents = tier, colourways, add_ons, self._country(texts.get("country", ""))
                if len(self._contents_seen) > _CACHED:
                    self._contents_seen.clear()
                self._contents_seen[said] = contents
            tier, colourways, add_ons, country = contents
            what = "count"
            count = self._count(texts)
            what = "date"
            day = self._day(row, texts, "date")
            what = "opens"
            opens = self._day(row, texts, "opens")
            what = "ref"
            ref = texts.get("ref", "")
            if len(ref) > 60 or "@" in ref:
                raise Spoiled("is too long or holds an e-mail address", "use a short order number, or map no reference")
            self._check_repeat(row.number, ref, (tier.id, colourways, tuple(add_ons.items()), country, day, opens))
        except Spoiled as spoiled:
            return self.aside(row, what, spoiled)
        return OrderLine(row.number, ref, tier.id, colourways, add_ons, country, count, day, opens)

    def held_back_by(self, ref: str, row: int) -> int | None:
        """The row of the same reference that does not count; none where there is no other."""
        at = self._not_an_order.get(order_key(ref)) if ref else None
        return at if at != row else None

    def repeats(self) -> list[Repeat]:
        """References, or contents in a table of counts, that came more than once, with their rows."""
        kept = self._mapping.repeats == "keep" or self._mapping.ref is None
        return [
            Repeat(self._first_ref[what] if isinstance(what, str) else "the same contents", tuple(rows), kept)
            for what, rows in self._repeated.items()
        ]

    def _check_status(self, row: Row) -> None:
        """Raises Spoiled for a row that is no order (any more), and remembers its reference."""
        cells = {heading: row.cells[at] for heading, at in self._searched if at < len(row.cells)}
        try:
            if self._mapping.status is not None:
                said = text_of(row.cells[self._at["status"]], self._limits)
                self.statuses[said] += 1
                self._check_said(said)
            if (heading := refund_spoken_of(cells)) is not None:
                below = takes_back(cells[heading])
                raise Spoiled(
                    f"column {heading!r} {'is below nothing' if below else 'speaks of a refund or a cancellation'}",
                    LEFT_ASIDE,
                    refund_in=heading,
                )
        except Spoiled:
            self._remember_no_order(row)
            raise

    def _check_marked(self, row: Row) -> None:
        """Raises Spoiled for a row that takes an order back, that is crossed out, whose comment speaks of a refund, or
        whose order a sheet of refunds names."""
        if takes_back(cell := _cell(row, self._at.get("count"))):
            self._remember_no_order(row)
            remedy = "leave it aside; if part of the order is still wanted, mend the row of the order itself"
            raise Spoiled(f"{shown(cell)!r} takes an order back", remedy)
        marks = list(row.marks)
        if self._told_at is not None and plain(str(_cell(row, self._told_at))) == _TOLD_LEFT:
            marks.append((WHY[1], f"column {WHY[1]!r} still says to leave it aside"))
        if (sheet := self._refunded.get(self._order_in(row))) is not None:
            marks.append((sheet, f"sheet {sheet!r} names this order"))
        for mark, told in marks:
            if mark not in self._mapping.ignored:
                self._remember_no_order(row)
                raise Spoiled(told, LEFT_ASIDE, refund_in=mark)

    def _check_total(self, row: Row) -> None:
        """Raises Spoiled for a row of sums, which is no order."""
        at = self._at.get("ref")
        ref = str(_cell(row, at) or "").strip()
        if at is not None and is_total(ref, alone=False):
            raise Spoiled(f"{shown(ref)!r} heads a row of sums, which is no order", "leave it aside")
        for heading, n in self._searched:
            cell = row.cells[n] if n < len(row.cells) else None
            if isinstance(cell, str) and cell and n != at and is_total(cell, alone=bool(ref)):
                raise Spoiled(f"column {heading!r} heads a row of sums, which is no order", "leave it aside")
        if at is None or ref or self._mapping.count is None:
            return
        if text_of(row.cells[self._at["count"]], self._limits) not in {"", "1"}:
            told = "has no order number and stands for several orders: it may be a row of sums"
            raise Spoiled(told, "leave it aside if it is; else give it a number")

    def _check_said(self, said: str) -> None:
        status = plain(said)
        if never_counts(said):
            raise Spoiled(f"{shown(said)!r}: no order any more", "leave it aside, or correct the cell if it is wrong")
        if status in self._not_counted:
            raise Spoiled(f"{shown(said)!r} does not count, as you said", "leave it aside, or say that it counts")
        if status not in self._counts:
            told = f"nobody has said whether {shown(said)!r} counts" if said else "is empty"
            raise Spoiled(told, "say under the status whether it counts as an order")

    def _remember_no_order(self, row: Row) -> None:
        if ref := self._order_in(row):
            self._not_an_order.setdefault(ref, row.number)

    def _order_in(self, row: Row) -> str:
        """A row's order number in its one spelling; "" where it has none."""
        return order_key(str(_cell(row, self._at.get("ref")) or "").strip())

    def _check_shape(self, row: Row) -> None:
        if row.cells and any(isinstance(cell, str) and speaks_of_refund(cell) for cell in row.cells[self._width :]):
            self._remember_no_order(row)  # a row pushed to the right still holds back its reference
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
        found = self._tiers.find(text) or self._tiers.find(without_money(text))
        if found is None:
            raise Spoiled(f"{shown(text)!r} is not a tier", self._tiers.remedy(text), text, self._tiers.nearest(text))
        return self._known.tiers[found]

    def _colourways(self, tier: TierChoices, texts: dict[str, str]) -> tuple[str | None, ...]:
        if not self._colour_columns:
            return (None,) * tier.choices
        found = self._cells.read([texts[name] for name in self._colour_columns], tier)
        return self._shared.setdefault(found, found)

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
            told = f"{shown(text)!r} is not a country we know"
            raise Spoiled(told, "write its two-letter code (ISO 3166-1), or say which it is", text)
        return code

    def _count(self, texts: dict[str, str]) -> int:
        if self._mapping.count is None:
            return 1
        number = count_of(texts["count"])
        if number == 0:
            raise Spoiled("is 0: nothing to plan", "leave the row out, or give its number of orders")
        return number

    def _day(self, row: Row, texts: dict[str, str], what: str) -> date | None:
        if what not in self._at:
            return None
        cell, text = row.cells[self._at[what]], texts[what]
        if not isinstance(cell, str):
            return date_of(cell, text, self._mapping.date_order)
        if text not in self._day_cache:
            if len(self._day_cache) > _CACHED:
                self._day_cache.clear()
            self._day_cache[text] = date_of(cell, text, self._mapping.date_order)
        return self._day_cache[text]

    def _check_repeat(self, number: int, ref: str, contents: object) -> None:
        key: object = order_key(ref) or None
        if self._mapping.ref is None:
            key = contents if self._mapping.count is not None else None
        if key is None:
            return
        if key not in self._first_row:
            self._first_row[key] = number
            if isinstance(key, str):
                self._first_ref[key] = ref
            return
        first = self._first_row[key]
        self._repeated.setdefault(key, [first]).append(number)
        if self._mapping.ref is not None and self._mapping.repeats == "set aside":
            raise Spoiled(
                f"is the same as in row {first}", "leave it out if it is the same order; else give it its own"
            )

    def aside(self, row: Row, what: str, spoiled: Spoiled) -> SetAside:
        """The row set aside for that reason."""
        cells: dict[str, str] = {}
        kept: tuple[str, ...] = ()
        if not row.fault and is_blank(row.cells[self._width :]):
            # with surplus cells nobody knows which column a cell belongs to: then none is kept
            cells = {name: shown(row.cells[at]) for name, at in self._at.items() if at < len(row.cells)}
            cells = {name: "" if text == "None" else text for name, text in cells.items()}
            kept = tuple(as_kept(row.cells[at]) if at < len(row.cells) else "" for at in self._kept_at)
        wording = spoiled.wording if shown(spoiled.wording) == " ".join(spoiled.wording.split()) else ""
        return SetAside(
            row.number,
            row.line,
            what,
            spoiled.reason,
            spoiled.remedy,
            cells,
            wording,
            spoiled.near,
            kept,
            spoiled.refund_in,
        )
