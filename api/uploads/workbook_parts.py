"""The outer parts of an XLSX workbook (ECMA-376 part 1): its archive checked, its sheets, texts and date styles."""

import posixpath
import zipfile
from dataclasses import dataclass
from typing import BinaryIO

from openpyxl.styles.numbers import BUILTIN_FORMATS, is_date_format

from api.uploads.limits import Limits, UnreadableFile
from api.uploads.xml_parts import DAMAGE, DAMAGED, walk

_PIECES_OF_A_COMMENT = 1000


@dataclass(frozen=True)
class Sheet:
    """A worksheet: its title, the part that holds it, and whether it shows."""

    title: str
    part: str
    visible: bool


class WorkbookParts:
    """An opened workbook: archive, sheets, shared texts, and which cell styles show dates."""

    def __init__(self, file: BinaryIO, limits: Limits) -> None:
        self.archive = checked_archive(file, limits)
        relations = _Relations("")
        self._walk("_rels/.rels", relations)
        book = next((t for kind, t in relations.by_id.values() if kind == "officeDocument"), "xl/workbook.xml")
        folder, name = posixpath.split(book)
        inner = _Relations(folder)
        self._walk(f"{folder}/_rels/{name}.rels", inner)
        workbook = _Workbook()
        self._walk(book, workbook)
        self.from_1904 = workbook.from_1904
        found = [(title, inner.by_id.get(key, ("", "")), seen) for title, key, seen in workbook.sheets]
        self.sheets = [Sheet(title, target, seen) for title, (kind, target), seen in found if kind == "worksheet"]
        parts = dict(inner.by_id.values())
        texts = _SharedTexts(limits.cell_chars + 1, limits.cells)
        if "sharedStrings" in parts:
            self._walk(parts["sharedStrings"], texts)
        self.texts = texts.all
        styles = _Styles()
        if "styles" in parts:
            self._walk(parts["styles"], styles)
        self.date_styles, self.struck_styles = styles.dates(), styles.struck()
        self.struck_texts = texts.struck

    def comments(self, part: str) -> list[tuple[int, str]]:
        """(row, text) of the comments on a sheet's cells. Raises UnreadableFile."""
        folder, name = posixpath.split(part)
        relations, found = f"{folder}/_rels/{name}.rels", _Comments()
        if relations in self.archive.namelist():
            beside = _Relations(folder)
            self._walk(relations, beside)
            for kind, target in beside.by_id.values():
                if kind == "comments" and target in self.archive.namelist():
                    self._walk(target, found)
        return found.all

    def _walk(self, part: str, walker: "_Walker") -> None:
        for _ in walk(self.archive, part, walker):
            pass


def checked_archive(file: BinaryIO, limits: Limits) -> zipfile.ZipFile:
    """Open the archive; refuse what is cut short, locked, no workbook, or would unpack to too much.

    Sizes are those the archive states; unpacking never gives more than stated, so a lie ends as damage.
    """
    file.seek(0)
    try:
        archive = zipfile.ZipFile(file)
        parts = archive.infolist()
    except (ValueError, *DAMAGE) as error:
        raise UnreadableFile("the workbook is cut short or damaged", DAMAGED) from error
    if len(parts) > limits.parts:
        raise UnreadableFile(f"the workbook holds {len(parts)} parts", DAMAGED)
    if "[Content_Types].xml" not in archive.namelist():
        raise UnreadableFile("this archive is not a workbook", "export the orders as CSV or XLSX")
    together = 0
    for part in parts:
        if not part.filename.endswith((".xml", ".rels")):
            continue  # pictures and the like are never unpacked
        if part.flag_bits & 1:
            raise UnreadableFile("the workbook is locked with a password", "save it without one")
        most = limits.sheet_bytes if "/worksheets/" in part.filename else limits.part_bytes
        if part.file_size > most:
            raise UnreadableFile(f"{part.filename} unpacks to {part.file_size:,} bytes", "split the file")
        if part.file_size > 2**20 and part.file_size > limits.pack_ratio * max(1, part.compress_size):
            raise UnreadableFile(f"{part.filename} unpacks to over {limits.pack_ratio} times its size", DAMAGED)
        together += part.file_size
        if together > limits.book_bytes:
            raise UnreadableFile(f"the workbook unpacks to over {limits.book_bytes:,} bytes", "split the file")
    return archive


class _Walker:
    def start(self, name: str, attributes: dict[str, str]) -> None:
        pass

    def text(self, data: str) -> None:
        pass

    def end(self, name: str) -> None:
        pass


class _Relations(_Walker):
    """Relationship id -> (last word of its type, part)."""

    def __init__(self, folder: str) -> None:
        self._folder = folder
        self.by_id: dict[str, tuple[str, str]] = {}

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if name == "Relationship" and attributes.get("TargetMode") != "External":
            target = attributes.get("Target", "")
            part = target.lstrip("/") if target.startswith("/") else posixpath.join(self._folder, target)
            kind = attributes.get("Type", "").rpartition("/")[2]
            self.by_id[attributes.get("Id", "")] = (kind, posixpath.normpath(part))


class _Workbook(_Walker):
    def __init__(self) -> None:
        self.sheets: list[tuple[str, str, bool]] = []
        self.from_1904 = False

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if name == "sheet":
            key = next((v for k, v in attributes.items() if k.rpartition(":")[2] == "id"), "")
            self.sheets.append((attributes.get("name", ""), key, attributes.get("state", "visible") == "visible"))
        elif name == "workbookPr":
            self.from_1904 = attributes.get("date1904", "") in ("1", "true")


class _SharedTexts(_Walker):
    def __init__(self, longest: int, most: int) -> None:
        self.all: list[str] = []
        self.struck: set[int] = set()
        """Texts of which some letters are crossed out."""
        self._longest, self._most = longest, most
        self._pieces: list[str] = []
        self._size = 0
        self._reading = self._phonetic = False

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if name == "si":
            self._pieces, self._size = [], 0
        elif name == "rPh":
            self._phonetic = True
        elif name == "strike" and _on(attributes):
            self.struck.add(len(self.all))
        elif name == "t":
            self._reading = not self._phonetic

    def text(self, data: str) -> None:
        if self._reading and self._size < self._longest:
            self._pieces.append(data[: self._longest - self._size])
            self._size += len(data)

    def end(self, name: str) -> None:
        if name == "si":
            if len(self.all) >= self._most:
                raise UnreadableFile(f"the workbook holds more than {self._most:,} texts", "split the file")
            self.all.append("".join(self._pieces))
        elif name == "rPh":
            self._phonetic = False
        elif name == "t":
            self._reading = False


class _Styles(_Walker):
    def __init__(self) -> None:
        self._codes: dict[str, str] = {str(k): code for k, code in BUILTIN_FORMATS.items()}
        self._used: list[tuple[str, str]] = []
        self._fonts = -1
        self._struck: set[str] = set()
        self._in_fonts = self._in_cells = False

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if name == "numFmt":
            self._codes[attributes.get("numFmtId", "")] = attributes.get("formatCode", "")
        elif name == "fonts":
            self._in_fonts = True
        elif name == "font" and self._in_fonts:
            self._fonts += 1
        elif name == "strike" and self._in_fonts and _on(attributes):
            self._struck.add(str(self._fonts))
        elif name == "cellXfs":
            self._in_cells = True
        elif name == "xf" and self._in_cells:
            self._used.append((attributes.get("numFmtId", "0"), attributes.get("fontId", "0")))

    def end(self, name: str) -> None:
        if name == "cellXfs":
            self._in_cells = False
        elif name == "fonts":
            self._in_fonts = False

    def dates(self) -> frozenset[str]:
        """Style numbers, as cells name them, whose format shows a date."""
        return frozenset(str(n) for n, (used, _) in enumerate(self._used) if is_date_format(self._codes.get(used, "")))

    def struck(self) -> frozenset[str]:
        """Style numbers whose letters are crossed out."""
        return frozenset(str(n) for n, (_, font) in enumerate(self._used) if font in self._struck)


class _Comments(_Walker):
    """Comments on cells, with their rows."""

    def __init__(self) -> None:
        self.all: list[tuple[int, str]] = []
        self._row, self._reading = 0, False
        self._pieces: list[str] = []

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if name == "comment":
            digits = attributes.get("ref", "").lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ$")
            self._row, self._pieces = int(digits) if digits.isdecimal() and len(digits) < 9 else 0, []
        elif name == "t":
            self._reading = True

    def text(self, data: str) -> None:
        if self._reading and len(self._pieces) < _PIECES_OF_A_COMMENT:
            self._pieces.append(data)

    def end(self, name: str) -> None:
        if name == "t":
            self._reading = False
        elif name == "comment":
            self.all.append((self._row, "".join(self._pieces)))


def _on(attributes: dict[str, str]) -> bool:
    return attributes.get("val", "1") not in ("0", "false")
