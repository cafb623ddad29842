"""Order files spoiled in the ways files get spoiled, each from a seed; with the orders that must still come through."""

import io
import random
import zipfile
from collections.abc import Callable
from dataclasses import dataclass

import openpyxl

from api.uploads.limits import UnreadableFile
from api.uploads.mapping import MappingProblem
from tests.api.uploads.order_table import HEADINGS, as_csv, good_rows, read, refs


@dataclass(frozen=True)
class Spoiled:
    """data: the file. untouched: references of rows that nothing was done to; None: the file may be refused whole."""

    data: bytes
    untouched: frozenset[str] | None


def _lines(seed: int) -> tuple[random.Random, list[str], list[list[str]]]:
    """One text for each row, so that a row can be spoiled by itself."""
    draw = random.Random(seed)
    rows = good_rows(draw.randint(5, 40), seed)
    return draw, [_text(row) for row in rows], rows


def _text(row: list[str]) -> str:
    return as_csv([row]).split("\r\n", 1)[1]


def _joined(texts: list[str]) -> str:
    return as_csv([]) + "".join(texts)


def _others(rows: list[list[str]], *touched: int) -> frozenset[str]:
    return frozenset(row[0] for n, row in enumerate(rows) if n not in touched)


def cut_short(seed: int) -> Spoiled:
    """A CSV that ends somewhere in the middle."""
    draw, texts, rows = _lines(seed)
    at = draw.randrange(len(texts))
    return Spoiled(_joined([*texts[:at], texts[at][: draw.randrange(len(texts[at]))]]).encode(), _others(rows[:at]))


def wrong_encoding(seed: int) -> Spoiled:
    """One row in another encoding than the rest, or bytes of no encoding."""
    draw, texts, rows = _lines(seed)
    at = draw.randrange(len(texts))
    latin = texts[at].replace("DE", "Österreich").encode("latin-1")
    spoilt = draw.choice((latin, b"\xff\xfe\xfa" + texts[at].encode()))
    whole = [text.encode() for text in texts]
    data = as_csv([]).encode() + b"".join([*whole[:at], spoilt, *whole[at + 1 :]])
    # With hardly any UTF-8 in it the file is read as Latin-1, and names with accents are then not known.
    plain = frozenset(ref for row, ref in ((row, row[0]) for row in rows) if row[7].isascii())
    return Spoiled(data, _others(rows, at) & plain)


def stray_quotes(seed: int) -> Spoiled:
    """One to three quote marks where none belong."""
    draw, texts, rows = _lines(seed)
    at = draw.randrange(len(texts))
    text = texts[at].rstrip("\r\n")
    for _ in range(draw.randint(1, 3)):
        place = draw.randrange(len(text) + 1)
        text = text[:place] + '"' + text[place:]
    return Spoiled(_joined([*texts[:at], text + "\r\n", *texts[at + 1 :]]).encode(), _others(rows, at))


def huge_cells(seed: int) -> Spoiled:
    """A cell of many thousand characters, in a column that is read or one that is dropped."""
    draw, texts, rows = _lines(seed)
    at = draw.randrange(len(texts))
    huge = [*rows[at]]
    huge[draw.randrange(len(huge))] = draw.choice("x ,") * draw.choice((40_000, 200_000))
    texts[at] = _text(huge)
    return Spoiled(_joined(texts).encode(), _others(rows, at))


def formula_cells(seed: int) -> Spoiled:
    """Formulas in a workbook, kept apart from values by the file format."""
    draw = random.Random(seed)
    rows = good_rows(draw.randint(5, 20), seed)
    book = openpyxl.Workbook()
    assert book.active is not None
    book.active.append(list(HEADINGS))
    touched = set()
    for n, row in enumerate(rows):
        cells: list[object] = list(row)
        if draw.random() < 0.3:
            touched.add(n)
            cells[draw.randrange(len(cells))] = draw.choice(("=1+1", '=HYPERLINK("x")', "=A1", "=SUM(A:A)"))
        book.active.append(cells)
    return Spoiled(_saved(book), _others(rows, *touched))


def formula_texts(seed: int) -> Spoiled:
    """The same in a CSV, with the commands that such cells have been used for."""
    draw, texts, rows = _lines(seed)
    at = draw.randrange(len(texts))
    spoilt = [*rows[at]]
    spoilt[draw.randrange(len(spoilt))] = draw.choice(('=cmd|"/c calc"!A1', "=1+1", "+1+1", "@SUM(A1)", "-2+3"))
    texts[at] = _text(spoilt)
    return Spoiled(_joined(texts).encode(), _others(rows, at))


def shifted_cells(seed: int) -> Spoiled:
    """A delimiter too many or too few, or NUL bytes, or line ends of another kind in between."""
    draw, texts, rows = _lines(seed)
    at = draw.randrange(len(texts))
    spoilt = draw.choice(
        (
            "," + texts[at],
            texts[at].replace(",", "", 1),
            texts[at].replace("A", "\x00", 1),
            texts[at].replace("\r\n", "\r\r\n\n\r\n"),
            ",".join(rows[at]) + "\r\n",
        )
    )
    return Spoiled(_joined([*texts[:at], spoilt, *texts[at + 1 :]]).encode(), _others(rows, at))


def cut_or_flipped_workbook(seed: int) -> Spoiled:
    """A workbook cut short, or with some bytes changed."""
    draw = random.Random(seed)
    data = bytearray(_workbook(seed))
    if draw.random() < 0.5:
        return Spoiled(bytes(data[: draw.randrange(len(data))]), None)
    for _ in range(draw.randint(1, 20)):
        data[draw.randrange(len(data))] = draw.randrange(256)
    return Spoiled(bytes(data), None)


def spoiled_parts(seed: int) -> Spoiled:
    """A workbook whose parts are cut, repeated, blown up or exchanged, in an archive that is whole."""
    draw = random.Random(seed)
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(_workbook(seed))) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        names = old.namelist()
        victim = draw.choice([name for name in names if name.startswith(("xl/", "_rels"))])
        for name in names:
            content = old.read(name)
            if name == victim:
                content = draw.choice(
                    (
                        content[: draw.randrange(len(content))],
                        content.replace(b'r="3"', b'r="2"').replace(b"<v>", b"<v>9"),
                        content + content,
                        b"",
                        bytes(draw.randrange(256) for _ in range(200)),
                        content.replace(b">", b">" + b" " * 4_000_000, 1),
                    )
                )
            new.writestr(name, content)
    return Spoiled(out.getvalue(), None)


def noise(seed: int) -> Spoiled:
    """Bytes without any meaning, with or without a table's beginning."""
    draw = random.Random(seed)
    start = draw.choice((b"", as_csv([]).encode(), b"PK\x03\x04", b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff", b'"'))
    return Spoiled(start + bytes(draw.choices(range(256), k=draw.randint(0, 3000))), None)


KINDS: tuple[Callable[[int], Spoiled], ...] = (
    cut_short,
    wrong_encoding,
    stray_quotes,
    huge_cells,
    formula_cells,
    formula_texts,
    shifted_cells,
    cut_or_flipped_workbook,
    spoiled_parts,
    noise,
)


def _workbook(seed: int) -> bytes:
    book = openpyxl.Workbook()
    assert book.active is not None
    book.active.append(list(HEADINGS))
    for row in good_rows(10, seed):
        book.active.append(row)
    return _saved(book)


def _saved(book: openpyxl.Workbook) -> bytes:
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def taken(spoiled: Spoiled) -> list[str] | str:
    """References of the orders taken, or the words of the refusal; anything else is a crash."""
    try:
        return refs(read(spoiled.data))  # read also checks rows in = taken + set aside
    except (UnreadableFile, MappingProblem) as refused:
        return str(refused)
