"""Several things in one cell: `oat & kelp`, `2x oat, kelp`, `planter: oat; saucer: kelp`, `Extra saucer (oat) x2`.

A cell is cut at the marks and words that people put between things. Where a name holds such a mark itself (`salt &
pepper`), the longest stretch that is a known name wins. Nothing is taken by likeness, and nothing is left over: a cell
of which one piece means nothing is not read at all.
"""

import re
from collections.abc import Callable, Container, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeVar

Meaning = TypeVar("Meaning")
_BETWEEN = r"[,;/|+&\n\t\u2028·•，；、／＆＋]|\s[-–—]\s|\s(?:and|und|et|y|e|og|en|plus|with)\s"
_TIMES = r"(?:x|×|✕|\*|times|mal|fois)"
_BEFORE = re.compile(r"(\d{1,4})(?![.,]?\d)\s*(.+)")
_UNIT_WORD = re.compile(rf"(?:{_TIMES}|pcs?\.?|stk\.?|of)\s*(?=\S)", re.IGNORECASE)
_AFTER = re.compile(
    rf"(.+?)\s*(?:\b{_TIMES}\s*(\d{{1,4}})|[×✕*]\s*(\d{{1,4}})|\(\s*{_TIMES}?\s*(\d{{1,4}})\s*{_TIMES}?\s*\)|"
    r"[:=]\s*(\d{1,4})|\s(\d{1,4})\s*(?:pcs?|stk)\.?)",
    re.IGNORECASE,
)
_CODES = "eur|gbp|usd|aud|cad|nzd|chf|sek|nok|dkk|pln|czk|huf|jpy"
_FIGURE = r"\d{1,6}(?:[.,' ]\d{3})*(?:[.,]\d{1,2})?(?:[.,][-–])?"
_PRICE = (
    rf"(?:(?:(?:us|au?|ca?|nz|hk|r)?[£$€¥]|(?:{_CODES}|kr\.?|fr\.)(?![a-z]))\s?{_FIGURE}"
    rf"|{_FIGURE}\s?(?:[€£$¥]|(?:{_CODES}|kr|zł)(?![a-z])))"
)
_GAP = r"\s{0,3}"
_MONEY = re.compile(
    rf"[(\[]{_GAP}(?:plus\b|je\b|[+@])?{_GAP}"
    rf"(?:{_PRICE}|(?<=\+){_GAP}\d{{1,6}}[.,]\d\d){_GAP}(?:each|extra|more|je|pro stück)?{_GAP}[)\]]"
    rf"|{_GAP}[+@]?{_GAP}{_PRICE}{_GAP}(?:each)?{_GAP}",
    re.IGNORECASE,
)
"""A price as shops write it behind a wording, in brackets or bare."""
_LONGEST_NAME = 5
"""Pieces that one name may be cut into."""
_MOST = 200
_LONGEST = 2000
"""Letters of a piece, or of a cell that is one wording as a whole: longer ones are prose of which nobody said what it
means."""
_MOST_WORDS = 24
"""Words of a product and a colourway with what people write around them. Trying each way to cut an essay in two took
minutes."""


@dataclass(frozen=True)
class Unread(Exception):
    """A piece of a cell that means nothing known."""

    piece: str


def without_money(text: str) -> str:
    """A wording without the price that shops write behind it: `Pair (£45)` is `Pair`."""
    return _MONEY.sub(" ", text).strip()


def without_count(text: str) -> str:
    """A wording without the price behind it and without a number said with its mark: `2 x Hook (+€4)` is `Hook`.

    A number alone may belong to the name, `3 hooks on a card`, and stays.
    """
    bare = without_money(text)
    if (match := _BEFORE.fullmatch(bare)) and (word := _UNIT_WORD.match(match[2])):
        return cleaned(match[2][word.end() :])
    return cleaned(match[1]) if (match := _AFTER.fullmatch(bare)) else cleaned(bare) or text


def cleaned(text: str) -> str:
    """A piece without the quote marks, bullets and full stops around it."""
    return text.strip().strip("\"'“”„‘’`*•·.").strip()


def pieces_of(text: str, means: Callable[[str], Meaning | None], own_separator: str = "") -> list[Meaning | None]:
    """What each piece of a cell means, in order; None for an empty one between marks.

    means: what a piece means, or None; it is asked once more without the price behind it. Raises Unread with the
    first piece that means nothing.
    """
    means = _unless_prose(means)
    whole = means(cleaned(text))
    if whole is not None:
        return [whole]
    prices = [match.span() for match in _MONEY.finditer(text) if match[0][0] in "(["]
    marks = (match.span() for match in _between(own_separator).finditer(text))
    between = [cut for cut in marks if not any(a < cut[1] and cut[0] < b for a, b in prices)]
    cuts = [(0, 0), *between, (len(text), len(text))]
    if len(cuts) > _MOST:
        raise Unread(text)
    spans = [(cuts[k][1], cuts[k + 1][0]) for k in range(len(cuts) - 1)]
    known: dict[int, list[Meaning | None] | None] = {len(spans): []}
    for at in range(len(spans) - 1, -1, -1):
        known[at] = None
        if not text[spans[at][0] : spans[at][1]].strip():
            rest = known[at + 1]
            known[at] = None if rest is None else [None, *rest]
            continue
        for end in range(min(len(spans), at + _LONGEST_NAME), at, -1):
            rest = known[end]
            if rest is None:
                continue
            meaning = means(cleaned(text[spans[at][0] : spans[end - 1][1]]))
            if meaning is not None:
                known[at] = [meaning, *rest]
                break
    found = known[0]
    if found is None:
        singles = [cleaned(text[a:b]) for a, b in spans]
        unread = next((at for at, one in enumerate(singles) if one and means(one) is None), None)
        if unread is None:
            raise Unread(cleaned(text))
        raise Unread(without_count(_one_name(text, spans, unread, means, own_separator) or singles[unread]))
    return found


def _unless_prose(means: Callable[[str], Meaning | None]) -> Callable[[str], Meaning | None]:
    def meant(piece: str) -> Meaning | None:
        if len(piece) > _LONGEST:
            return None
        meaning = means(piece)
        return means(bare) if meaning is None and (bare := without_money(piece)) != piece else meaning

    return meant


def _one_name(
    text: str, spans: list[tuple[int, int]], unread: int, means: Callable[[str], Meaning | None], own_separator: str
) -> str:
    """The shortest stretch around an unread piece that is a name but for the marks in it: `Salt & Pepper` where
    `salt-pepper` is known, which is to be asked about and not `Salt`; "" where there is none."""
    for size in range(2, min(_LONGEST_NAME, len(spans)) + 1):
        for first in range(max(0, unread - size + 1), min(unread, len(spans) - size) + 1):
            stretch = text[spans[first][0] : spans[first + size - 1][1]]
            if means(cleaned(_between(own_separator).sub(" ", stretch))) is not None:
                return cleaned(stretch)
    return ""


def in_two(words: Sequence[str], between: Container[str]) -> Iterator[tuple[str, str]]:
    """Each way to read words as two names, either one first; nothing where they are too many for two names.

    between: words that belong to no name.
    """
    if len(words) > _MOST_WORDS:
        return
    said = [[word] if word.casefold() not in between else [] for word in words]
    for cut in range(1, len(words)):
        first, second = (" ".join(word for one in part for word in one) for part in (said[:cut], said[cut:]))
        yield first, second
        yield second, first


def counted(text: str) -> Iterator[tuple[str, int]]:
    """`2x oat`, `oat x2`, `oat (2)` as oat and 2: every way to read it; nothing where the piece says no number."""
    if match := _AFTER.fullmatch(text):
        yield cleaned(match[1]), int(next(group for group in match.groups()[1:] if group))
    if match := _BEFORE.fullmatch(text):
        if word := _UNIT_WORD.match(match[2]):
            yield cleaned(match[2][word.end() :]), int(match[1])
        yield cleaned(match[2]), int(match[1])


@lru_cache(maxsize=64)
def _between(own_separator: str) -> re.Pattern[str]:
    return re.compile(_BETWEEN + (f"|{re.escape(own_separator)}" if own_separator else ""), re.IGNORECASE)
