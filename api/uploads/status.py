"""Whether a row counts as an order: what its status says, and words of refund or cancellation anywhere in it.

An order that was refunded must never be made and sent. So a status counts only where the maker said that it does, some
never count whatever is said, and a row that speaks of a refund outside its status column is set aside too.
"""

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache

from api.uploads.known import plain
from api.uploads.rows import Cell

COUNTS_USUALLY = frozenset(
    {
        "paid", "complete", "completed", "collected", "confirmed", "active", "captured", "charged", "ok", "ordered",
        "order confirmed", "payment received", "to ship", "to send", "unshipped", "unfulfilled", "bezahlt", "bestatigt",
        "paye", "payee", "pagado", "pagato", "betaald",
    }
)  # fmt: skip
"""Values that are proposed as counting; the maker decides."""
_NEVER = (
    r"(?:fully |full )?refund(?:ed|s)?|refund (?:issued|sent|done|requested)|refund(?:ed)? in full|"
    r"cancel(?:l?ed|lation|ation)?|order cancell?ed|charge ?backs?|charged back|void(?:ed)?|declined|rejected|"
    r"payment failed|failed|expired|deleted|withdrawn|dropped|disputed|fraud|returned|"
    r"storniert|storno|stornierung|erstattet|erstattung|widerrufen|widerruf|abgebrochen|ruckerstattet|ruckerstattung|"
    r"gekundigt|zuruckgezahlt|zuruckgebucht|ruckbuchung|zuruckgegeben|retourniert|abgelehnt|rembourse|remboursee|annule|annulee|"
    r"reembolsado|cancelado|devuelto|rimborsato|annullato|geannuleerd|terugbetaald"
)
_ALONE = re.compile(rf"(?:{_NEVER})[.!]*")
_SPOKEN_OF = re.compile(
    r"\b(?:refund(?:ed|s|ing)?|cancel(?:s|l?ed|l?ing|lation|ation)?|charge ?backs?|charged back|voided|"
    r"(?:money|paid|sent|give|gave) back|"
    r"(?:do not|don'?t) (?:ship|send|make)|stornier\w*|storno|erstattet|widerrufen|ruckerstattet|ruckbuchung|"
    r"zuruckgezahlt|zuruckgebucht|gekundigt|rembours\w*|"
    r"annulee?s?|reembols\w*|cancelad[oa]|rimborsat[oa]|annullat[oa]|geannuleerd|terugbetaald)\b"
)
_STEMS = ("refund", "back", "cancel", "charge", "void", "ship", "send", "make", "storn", "erstatt", "widerruf",
          "rückbuch", "zurückge", "kündigt",
          "rembours", "annul", "reembols", "rimbors", "geannul", "terugbet")  # fmt: skip
_SAYS_NO = frozenset(
    {"", "no", "n", "false", "none", "never", "na", "n/a", "?", "-", "nein", "non", "null", "eur", "€", "£", "$"}
)
MOST_VALUES = 40
"""Different values beyond which a column is no status."""


def never_counts(text: str) -> bool:
    """Whether a status says outright that there is no order any more; no maker's word makes it count."""
    return _ALONE.fullmatch(plain(text)) is not None


def speaks_of_refund(text: str) -> bool:
    """Whether a text speaks of a refund, a cancellation, or of not sending it."""
    return _may_speak(text.casefold()) and _SPOKEN_OF.search(plain(text)) is not None


def _may_speak(lower: str) -> bool:
    """Whether a text in small letters holds the stem of any such word. A loop, since every row of a table asks."""
    for stem in _STEMS:  # noqa: SIM110
        if stem in lower:
            return True
    return False


def refund_spoken_of(cells: Mapping[str, Cell]) -> str | None:
    """The column that speaks of a refund, a cancellation, or of not sending; none where no cell does.

    cells: heading -> cell. Under a heading that speaks of it itself (`Refunded on`) any cell counts that says anything.
    """
    for heading in headings_of_refund(tuple(cells)):
        if plain(str(cells[heading] if cells[heading] is not None else "")).strip("0.,") not in _SAYS_NO:
            return heading
    together = "\x1f".join(cell for cell in cells.values() if isinstance(cell, str)).casefold()
    if not _may_speak(together):
        return None
    return next((h for h, cell in cells.items() if isinstance(cell, str) and speaks_of_refund(cell)), None)


@lru_cache(maxsize=64)
def headings_of_refund(headings: tuple[str, ...]) -> tuple[str, ...]:
    """The headings that speak of refunds or cancellations themselves."""
    return tuple(heading for heading in headings if speaks_of_refund(heading))


def values_of(cells: Iterable[str]) -> dict[str, int]:
    """Each status as first written -> rows with it, in the order of the table; spellings that are alike together."""
    first: dict[str, str] = {}
    counts: Counter[str] = Counter()
    for cell in cells:
        counts[first.setdefault(plain(cell), cell)] += 1
    return {text: counts[text] for text in first.values()}


def looks_like_status(texts: Sequence[str]) -> float:
    """Share of cells that say plainly that an order counts, or that it never does; 0 for a column of many words.

    A column in which something is refunded probably is the status, whatever its other words.

    texts: cells that hold something.
    """
    values = values_of(texts)
    if not values or len(values) > MOST_VALUES:
        return 0.0
    told = sum(n for text, n in values.items() if never_counts(text) or plain(text) in COUNTS_USUALLY)
    least = 0.6 if any(never_counts(text) for text in values) else 0.0
    return max(told / len(texts), least)


def proposed(values: Iterable[str]) -> dict[str, str]:
    """Status -> counts, never, or nothing where the maker must say."""
    return {v: "never" if never_counts(v) else "counts" if plain(v) in COUNTS_USUALLY else "" for v in values}
