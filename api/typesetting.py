"""Sheets of type printed to PDF by typst. A sheet works nothing out: it sets what it is handed."""

import json
import re
from pathlib import Path
from typing import Literal

import typst

Size = Literal["a4", "letter"]
_NAMES = {"a4": "a4", "letter": "us-letter"}
_OURS = b"Shot to Ship"
_CREATOR = re.compile(rb"(?<=/Creator\()[^()\\]*(?=\))|(?<=<xmp:CreatorTool>)[^<]*(?=</xmp:CreatorTool>)")
"""Where a PDF names the program its document was made with: ISO 32000-1, 14.3.3, and its XMP."""


def typeset(sheet: Path, content: object, size: Size) -> bytes:
    """One PDF of the sheet and its content (JSON). Type: what typst brings along (Libertinus Serif, SIL OFL)."""
    pdf: bytes = typst.compile(
        sheet,
        root=sheet.parent,
        ignore_system_fonts=True,
        pdf_tags=False,  # for the printer: a plan of 226 runs weighs a seventh so; the pages are what is read aloud
        sys_inputs={"data": json.dumps(content), "paper": _NAMES[size]},
    )
    return _CREATOR.sub(_as_ours, pdf)


def _as_ours(found: re.Match[bytes]) -> bytes:
    """Our name as long as what stood there: a PDF counts its bytes."""
    return _OURS.ljust(len(found[0])) if len(found[0]) >= len(_OURS) else found[0]
