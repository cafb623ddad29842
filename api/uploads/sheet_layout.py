"""What a sheet's layout says of its cells: cells merged over several rows, and rows that are hidden.

Both stand where reading row by row does not meet them in time, so the part is looked through once more where its bytes
speak of either. A value merged over rows is meant for each of them; the file has it in the first alone.
"""

import zipfile
from collections import defaultdict
from collections.abc import Iterator, Sequence

from openpyxl.utils.cell import range_boundaries

from api.uploads.limits import UnreadableFile
from api.uploads.rows import Cell
from api.uploads.xml_parts import DAMAGE, DAMAGED, opened, walk

MOST_MERGED = 100_000
_TELLING = (b"mergeCell", b"hidden=")
_CHUNK = 1 << 17


class SheetLayout:
    """Of one sheet. hidden: how many of its rows nobody sees."""

    def __init__(self, archive: zipfile.ZipFile, part: str) -> None:
        self.hidden = 0
        self._begins: defaultdict[int, list[tuple[int, int]]] = defaultdict(list)
        self._open: list[tuple[int, int, Cell]] = []
        if _speaks_of(archive, part):
            for _ in walk(archive, part, self):
                pass

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if name == "row":
            self.hidden += attributes.get("hidden") in ("1", "true")
        elif name == "mergeCell":
            try:
                column, first, _, last = range_boundaries(attributes.get("ref", ""))
            except (ValueError, TypeError):
                raise UnreadableFile(f"there is no cell {attributes.get('ref', '')[:20]!r}", DAMAGED) from None
            if column and first and last and last > first and len(self._begins) < MOST_MERGED:
                self._begins[first].append((column - 1, last))

    def text(self, data: str) -> None:
        """Cells are read elsewhere."""

    def end(self, name: str) -> None:
        """Nothing ends that matters here."""

    def merged_below(self, heading_row: int) -> int:
        """Cells merged over several rows, below the headings."""
        return sum(len(found) for row, found in self._begins.items() if row > heading_row)

    def filled(self, rows: Iterator[tuple[int, Sequence[Cell]]]) -> Iterator[tuple[int, Sequence[Cell]]]:
        """The rows, from the first on, each with what is merged over it."""
        self._open = []
        for number, cells in rows:
            self._open = [one for one in self._open if one[1] >= number]
            if self._open:
                cells = list(cells)
                for column, _, value in self._open:
                    cells += [None] * (column + 1 - len(cells))
                    cells[column] = value if cells[column] in (None, "") else cells[column]
            for column, last in self._begins.get(number, ()):
                if column < len(cells) and cells[column] not in (None, ""):
                    self._open.append((column, last, cells[column]))
            yield number, cells


def _speaks_of(archive: zipfile.ZipFile, part: str) -> bool:
    """Whether the part's bytes hold any word of that; a damaged part is found out where it is read."""
    before = b""
    try:
        with opened(archive, part) as stream:
            while chunk := stream.read(_CHUNK):
                if any(word in before + chunk for word in _TELLING):
                    return True
                before = chunk[-16:]
    except DAMAGE:
        return False
    return False
