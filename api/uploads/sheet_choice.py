"""Which sheet of a workbook holds the orders: many begin with a cover, instructions, a pivot or a list of stock.

Common practice: a sheet of orders has the most columns that say what orders say, and the most rows. Only a sheet that
is clearly likelier is read in place of the first one; the maker can choose another.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from api.uploads.known import plain
from api.uploads.personal import personal_heading
from api.uploads.rows import Cell, is_blank
from api.uploads.suggest import HEADING_WORDS

LOOKED_AT = 40
"""Rows of a sheet that are looked at, blank ones left out."""
MOST_SHEETS = 20
"""Sheets that are looked at."""
_HEADING_ROWS = 12
_CLEARLY = 2
_OF_ORDERS = re.compile(
    r"\b(orders?|pledges?|supporters?|responses?|answers|bestellung(?:en)?|auftrage|commandes?|pedidos?|ordini)\b"
)
_OF_NONE = re.compile(
    r"\b(read ?me|notes?|instructions?|how to|help|info|about|guide|cover|legend|lookups?|pivots?|"
    r"summary|totals?|overview|dashboard|charts?|lies ?mich|hinweise?|anleitung|notizen|ubersicht|deckblatt|"
    r"zusammenfassung|lisez ?moi|sommaire|resume|leeme|resumen|leggimi|riepilogo)\b"
)


@dataclass(frozen=True)
class SheetLook:
    """What a sheet looks like. alike: how much of it is as in a sheet of orders; rows: below its headings, as far as
    looked at; refunds: it says by its name that its orders do not count."""

    title: str
    alike: int
    rows: int
    refunds: bool = False


def look_at(title: str, rows: Sequence[Sequence[Cell]], refunds: bool) -> SheetLook:
    """A sheet from its first rows. Its headings may stand below a title."""
    filled = [row for row in rows if not is_blank(row)]
    best, at = max(((_alike(row), -n) for n, row in enumerate(filled[:_HEADING_ROWS])), default=(0, 0))
    said = plain(title)
    best += bool(_OF_ORDERS.search(said)) - 2 * bool(_OF_NONE.search(said))
    return SheetLook(title, best, max(0, len(filled) + at - 1), refunds)


def likeliest(looks: Sequence[SheetLook]) -> str | None:
    """The sheet to read, the first one unless another is clearly likelier; None where none was looked at."""
    if not looks:
        return None
    standing = [look for look in looks if not look.refunds] or list(looks)
    first = standing[0]
    best = max(standing, key=lambda look: (look.rows > 0, look.alike))
    clearly = best.alike >= first.alike + _CLEARLY and best.rows >= first.rows
    nothing_there = not first.rows and best.rows and best.alike > 1
    return best.title if clearly or nothing_there else first.title


def _alike(cells: Sequence[Cell]) -> int:
    """How many different things that orders say are headings of this row; each cell says one."""
    found = set()
    for cell in cells:
        if not isinstance(cell, str) or not cell.strip() or len(cell) > 60:
            continue
        if personal_heading(cell):
            found.add("person")
            continue
        said = plain(cell)
        found.add(next((what for what, words in HEADING_WORDS.items() if re.search(words, said)), ""))
    return len(found - {""})
