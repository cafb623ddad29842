"""Parts of a workbook walked as XML events: in pieces, without document types, without endless tags."""

import struct
import zipfile
import zlib
from collections.abc import Iterator
from typing import IO, Protocol
from xml.parsers import expat

from api.uploads.limits import UnreadableFile

DAMAGED = "save it again from the spreadsheet program and send the new file"
DAMAGE = (zipfile.BadZipFile, zlib.error, struct.error, EOFError, OSError, KeyError, RuntimeError)
"""What reading an archive raises that was cut short or in which bytes were exchanged."""
_CHUNK = 1 << 17
_LONGEST_TAG = 1 << 20


class Walker(Protocol):
    """Takes the events of one part. Names come without their namespace prefix."""

    def start(self, name: str, attributes: dict[str, str]) -> None:
        """An element begins."""

    def text(self, data: str) -> None:
        """Some text; one text may come in several pieces."""

    def end(self, name: str) -> None:
        """An element ends."""


def walk(archive: zipfile.ZipFile, part: str, walker: Walker) -> Iterator[None]:
    """Feed a part to a walker, pausing after each piece so that the caller can take what is ready.

    Raises UnreadableFile where the part is damaged or holds what no spreadsheet program writes.
    """
    parser = expat.ParserCreate()
    parser.buffer_text = True

    def root(name: str, attributes: dict[str, str]) -> None:
        """The first element tells whether the part writes a prefix before every name."""
        prefix = len(name) - len(name.rpartition(":")[2])
        start, end = walker.start, walker.end
        parser.StartElementHandler = (lambda n, a: start(n[prefix:], a)) if prefix else start
        parser.EndElementHandler = (lambda n: end(n[prefix:])) if prefix else end
        start(name[prefix:], attributes)

    parser.StartElementHandler = root
    parser.CharacterDataHandler = walker.text
    parser.StartDoctypeDeclHandler = _no_document_type
    fed = 0
    try:
        with opened(archive, part) as stream:
            while chunk := stream.read(_CHUNK):
                parser.Parse(chunk, False)
                fed += len(chunk)
                if fed - parser.CurrentByteIndex > _LONGEST_TAG:
                    raise UnreadableFile(f"{part} holds a tag of more than a million characters", DAMAGED)
                yield
            parser.Parse(b"", True)
            yield
    except (expat.ExpatError, *DAMAGE) as error:
        raise UnreadableFile(f"the workbook is damaged in {part}", DAMAGED) from error


def opened(archive: zipfile.ZipFile, part: str) -> IO[bytes]:
    """A part to read. Raises what DAMAGE names: an offset outside the file is told as a value or a structure that does
    not fit."""
    try:
        return archive.open(part)
    except ValueError as error:
        raise zipfile.BadZipFile(str(error)) from error


def _no_document_type(*_: object) -> None:
    raise UnreadableFile("the workbook defines entities of its own", DAMAGED)
