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


def typeset(sheet: Path, content: object, size: Size) -> bytes:
    """One PDF of the sheet and its content (JSON). Type: what typst brings along (Libertinus Serif, SIL OFL).

    Blocks: not for the event loop. Raises Busy, and Ended where it took more than it may.
    """
    return call(PRINTING, ALLOWED, _set, sheet, json.dumps(content), size)


def _set(sheet: Path, data: str, size: Size) -> bytes:
    os.environ["RAYON_NUM_THREADS"] = _THREADS
    import typst  # here: nobody else needs it

    pdf: bytes = typst.compile(
        sheet,
        root=sheet.parent,
        ignore_system_fonts=True,
        pdf_tags=False,  # for the printer: a plan of 226 runs weighs a seventh so; the pages are what is read aloud
        sys_inputs={"data": data, "paper": _NAMES[size]},
    )
    return _CREATOR.sub(_as_ours, pdf)


def _as_ours(found: re.Match[bytes]) -> bytes:
    """Our name as long as what stood there: a PDF counts its bytes."""
    return _OURS.ljust(len(found[0])) if len(found[0]) >= len(_OURS) else found[0]
