"""Sheets of type printed to PDF by typst. A sheet works nothing out: it sets what it is handed."""

import json
from pathlib import Path
from typing import Literal

import typst

Size = Literal["a4", "letter"]
_NAMES = {"a4": "a4", "letter": "us-letter"}


def typeset(sheet: Path, content: object, size: Size) -> bytes:
    """One PDF of the sheet and its content (JSON). Type: what typst brings along (Libertinus Serif, SIL OFL)."""
    return typst.compile(
        sheet,
        root=sheet.parent,
        ignore_system_fonts=True,
        pdf_tags=False,  # for the printer: a plan of 226 runs weighs a seventh so; the pages are what is read aloud
        sys_inputs={"data": json.dumps(content), "paper": _NAMES[size]},
    )
