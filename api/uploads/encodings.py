"""Which character encoding a text file is in: said in the report, never silent."""

import codecs
import re
from dataclasses import dataclass
from typing import BinaryIO

from api.uploads.limits import UnreadableFile

_CHUNK = 1 << 16
# Two to four bytes that are one well-formed UTF-8 character.
_UTF8_CHARACTER = re.compile(rb"[\xc2-\xdf][\x80-\xbf]|[\xe0-\xef][\x80-\xbf]{2}|[\xf0-\xf4][\x80-\xbf]{3}", re.DOTALL)
_HIGH_BYTE = re.compile(rb"[\x80-\xff]")
_C1_BYTE = re.compile(rb"[\x80-\x9f]")
_CONTROL = re.compile(rb"[\x00-\x08\x0e-\x1a\x7f]")
_STRAY = re.compile("[\ud800-\udfff]")
_CHOICES = {"utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252", "latin-1"}


@dataclass(frozen=True)
class Encoding:
    """codec: Python's name. errors: how undecodable bytes show up in cells. why: for the
    report; empty where the file says it itself."""

    codec: str
    errors: str
    why: str


def readable(text: str) -> str:
    """The text with U+FFFD, the replacement character, for each byte that was none of its encoding: such bytes are kept
    apart while rows are read, and no answer can hold them."""
    return _STRAY.sub("\ufffd", text)


def find_encoding(file: BinaryIO, chosen: str | None = None) -> Encoding:
    """Look at the whole file (in pieces) and decide; the maker's choice goes first. Leaves it at its start."""
    if chosen is not None:
        if chosen not in _CHOICES:
            raise UnreadableFile(f"encoding {chosen!r} is not offered", f"choose one of {', '.join(sorted(_CHOICES))}")
        errors = "surrogateescape" if chosen.startswith("utf-8") else "replace"
        return Encoding(chosen, errors, "chosen by the maker")
    file.seek(0)
    start = file.read(4096)
    file.seek(0)
    if start.startswith((codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE)):
        raise UnreadableFile("the file is in UTF-32", "save it as UTF-8")
    if start.startswith(codecs.BOM_UTF8):
        return Encoding("utf-8-sig", "surrogateescape", "")
    if start.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return Encoding("utf-16", "replace", "")
    # Mostly Latin text in UTF-16 has a zero in every other byte.
    zeros = (start[0::2].count(0), start[1::2].count(0))
    half = max(1, len(start) // 2)
    if zeros[1] > 0.4 * half and zeros[0] < 0.1 * half:
        return Encoding("utf-16-le", "replace", "zero bytes as in UTF-16, no byte order mark")
    if zeros[0] > 0.4 * half and zeros[1] < 0.1 * half:
        return Encoding("utf-16-be", "replace", "zero bytes as in UTF-16, no byte order mark")
    if len(_CONTROL.findall(start)) > 0.05 * len(start):
        raise UnreadableFile("this is not a text table", "export the orders as CSV or XLSX")
    return _eight_bit(file)


def _eight_bit(file: BinaryIO) -> Encoding:
    high = whole = c1 = 0
    tail = b""
    while True:
        chunk = file.read(_CHUNK)
        data = tail + chunk
        # A character that the chunk cuts in two is kept for the next round.
        cut = max(0, len(data) - 4) if chunk else len(data)
        while 0 < cut < len(data) and 0x80 <= data[cut] <= 0xBF and len(data) - cut < 8:
            cut -= 1
        body, tail = data[:cut], data[cut:]
        rest = _UTF8_CHARACTER.sub(b"", body)
        whole += len(_UTF8_CHARACTER.findall(body))
        high += len(_HIGH_BYTE.findall(rest))
        c1 += len(_C1_BYTE.findall(rest))
        if not chunk:
            break
    file.seek(0)
    if high == 0:
        return Encoding("utf-8", "surrogateescape", "")
    if whole >= high:
        why = f"UTF-8, but {high} bytes are not; rows that need them are set aside"
        return Encoding("utf-8", "surrogateescape", why)
    if c1:
        return Encoding("cp1252", "replace", "not UTF-8; read in the older Western European encoding (code page 1252)")
    return Encoding("latin-1", "replace", "not UTF-8; read as Latin-1")
