"""Sheets of type printed to PDF by typst. A sheet works nothing out: it sets what it is handed.

typst keeps what it set for the next time and never lets go of it: in the API's own process a few large plans took
gigabytes. So each PDF is set in a process of its own, which ends with it.
"""

import json
import os
import re
from pathlib import Path
from typing import Literal

from api.apart.process import Allowance, Places, call
from api.languages import gettext
from api.languages.reading import now_reading

Size = Literal["a4", "letter"]
_NAMES = {"a4": "a4", "letter": "us-letter"}
_OURS = b"Shot to Ship"
_CREATOR = re.compile(rb"(?<=/Creator\()[^()\\]*(?=\))|(?<=<xmp:CreatorTool>)[^<]*(?=</xmp:CreatorTool>)")
"""Where a PDF names the program its document was made with: ISO 32000-1, 14.3.3, and its XMP."""
PRINTING = Places(most=2, waiting=8, patience=30.0)
"""How many PDFs are set at a time; setting one may take a core, and plans want theirs."""
ALLOWED = Allowance(seconds=120, longest=300.0, memory_bytes=4 * 2**30)
"""For one PDF. Address space, most of which is never touched: each of typst's threads sets some aside."""
_THREADS = "2"
SAY = re.compile(r'say\("([^"]+)"')
"""A text of the sheet's own, which is set in the reader's language."""


def typeset(sheet: Path, content: object, size: Size) -> bytes:
    """One PDF of the sheet and its content (JSON), in the reader's language. Type: what typst brings along (Libertinus
    Serif, SIL OFL).

    Blocks: not for the event loop. Raises Busy, and Ended where it took more than it may.
    """
    words = {text: gettext(text) for text in SAY.findall(sheet.read_text(encoding="utf-8"))}
    said = {"data": json.dumps(content), "words": json.dumps(words), "language": now_reading().language}
    return call(PRINTING, ALLOWED, _set, sheet, said | {"paper": _NAMES[size]})


def _set(sheet: Path, inputs: dict[str, str]) -> bytes:
    os.environ["RAYON_NUM_THREADS"] = _THREADS
    import typst  # here: nobody else needs it

    pdf: bytes = typst.compile(
        sheet,
        root=sheet.parent,
        ignore_system_fonts=True,
        pdf_tags=False,  # for the printer: a plan of 226 runs weighs a seventh so; the pages are what is read aloud
        sys_inputs=inputs,
    )
    return _CREATOR.sub(_as_ours, pdf)


def _as_ours(found: re.Match[bytes]) -> bytes:
    """Our name as long as what stood there: a PDF counts its bytes."""
    return _OURS.ljust(len(found[0])) if len(found[0]) >= len(_OURS) else found[0]
