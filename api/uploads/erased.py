"""Numbers of orders that were erased on request: found in documents and texts, and another put in their place."""

import re
from collections.abc import Callable, Collection, Sequence
from dataclasses import replace
from typing import Any

from api.uploads.known import order_key
from api.uploads.report import OrderLine, SetAside

_DISTINCT = 5
"""Characters from which a number of figures alone is looked for in sentences: `12` may be shots."""
AGAIN = "this order is there already; its number was erased on request"
AGAIN_REMEDY = "leave the row out"

NewNumber = Callable[[str], str | None]
"""An order's number as written -> the one it goes by since it was erased; None: it was not."""


def name_of(number: int) -> str:
    """What an erased order goes by."""
    return f"erased-{number}"


def without_numbers(document: dict[str, Any], new: NewNumber) -> bool:
    """Put the other numbers into a campaign document's orders; whether there were any."""
    changed = False
    for line in _lines(document):
        if name := new(str(line.get("ref", ""))):
            line["ref"], changed = name, True
    return changed


def lines_of(document: dict[str, Any], numbers: Collection[str]) -> list[tuple[int, dict[str, Any]]]:
    """(index, order line) of a campaign document's orders of those numbers, given in their one spelling."""
    return [(n, line) for n, line in enumerate(_lines(document)) if order_key(str(line.get("ref", ""))) in numbers]


def _lines(document: dict[str, Any]) -> list[dict[str, Any]]:
    lines = document.get("orders", [])
    return [line for line in lines if isinstance(line, dict)] if isinstance(lines, list) else []


def in_words(words: str, numbers: Collection[str]) -> bool:
    """Whether one of the numbers stands in a text, as a word of its own."""
    return any(pattern.search(words) for pattern in map(_as_word, numbers) if pattern)


def out_of_words(words: str, names: dict[str, str]) -> str:
    """A text with each number's other one in its place. names: number as asked for -> the one it goes by."""
    for number, name in names.items():
        if pattern := _as_word(number):
            words = pattern.sub(name, words)
    return words


def looked_for_in_words(number: str) -> bool:
    """Whether a number is distinct enough to be told from other figures in a sentence."""
    return len(number) >= _DISTINCT or (any(c.isalpha() for c in number) and any(c.isdigit() for c in number))


def _as_word(number: str) -> re.Pattern[str] | None:
    if not looked_for_in_words(number):
        return None
    return re.compile(rf"(?<!\w){re.escape(number)}(?!\w)", re.IGNORECASE)


def swapped(value: Any, swap: Callable[[str], str]) -> Any:
    """A document with each of its texts put through `swap`; names of members stay."""
    if isinstance(value, str):
        return swap(value)
    if isinstance(value, list):
        return [swapped(one, swap) for one in value]
    return {name: swapped(one, swap) for name, one in value.items()} if isinstance(value, dict) else value


def texts_in(value: Any) -> list[str]:
    """Every text of a document."""
    found: list[str] = []
    swapped(value, lambda text: found.append(text) or text)  # type: ignore[func-returns-value]
    return found


def known_again(
    lines: Sequence[OrderLine],
    asides: Sequence[SetAside],
    new: NewNumber,
    column: int | None = None,
    before: Sequence[OrderLine] = (),
) -> tuple[list[OrderLine], list[SetAside]]:
    """What was read of a table, with erased orders under the numbers they go by.

    column: of order numbers among the cells that are kept of a row set aside. before: lines taken already; an erased
    order that is among them is set aside.
    """
    there = {line.ref for line in before}
    taken, aside = [], [_aside_again(one, new, column) for one in asides]
    for line in lines:
        name = new(line.ref)
        if name in there:
            aside.append(SetAside(line.row, None, "order number", AGAIN, AGAIN_REMEDY, {"ref": name or ""}))
        else:
            taken.append(replace(line, ref=name) if name else line)
    return taken, sorted(aside, key=lambda one: one.row)


def _aside_again(aside: SetAside, new: NewNumber, column: int | None) -> SetAside:
    name = new(aside.cells.get("ref", ""))
    if name is None:
        return aside
    kept = tuple(name if at == column else cell for at, cell in enumerate(aside.kept))
    return replace(aside, kept=kept, cells=dict(aside.cells) | {"ref": name})
