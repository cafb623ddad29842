"""Where the heading row is when a title stands above it: `Orders, exported 3 May` in the first row, headings below."""

import re
from collections.abc import Callable, Sequence

from api.uploads.orders import first_rows
from api.uploads.rows import Cell, Table, is_blank

_ROWS_OF_TITLE = 12
_UNNAMED = re.compile(r"column [A-Z]{1,3}")
_OF_A_TITLE = re.compile(r"\d|:$")


def below_titles(table: Table, reopen: Callable[[int], Table]) -> Table:
    """The table with its headings below any title rows; the same where its first row is the headings.

    reopen: the table with another heading row. A row is taken for a title where it holds one cell and rows below hold
    more, or two or three cells that read like `Exported: 3 May 2027`.
    """
    for _ in range(_ROWS_OF_TITLE):
        named = [name for name in table.headings if not _UNNAMED.fullmatch(name)]
        if len(named) > 3 or (len(named) > 1 and not any(_OF_A_TITLE.search(name) for name in named)):
            break
        below = list(first_rows(table, _ROWS_OF_TITLE))
        if not below or max(_filled(row.cells) for row in below) <= len(named):
            break
        table = reopen(below[0].number)
        table.source.notes.append(f"row {below[0].number} is taken as the headings; what stands above it is a title")
    return table


def _filled(cells: Sequence[Cell]) -> int:
    return sum(not is_blank([cell]) for cell in cells)
