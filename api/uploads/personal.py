"""Which columns hold personal data: they are dropped at the door and named in the report.

Planning needs no name, address, e-mail or telephone number. A column counts as personal by its heading (in a few
languages) or by cells that look like e-mail addresses or telephone numbers.
"""

import re
from collections.abc import Sequence
from datetime import date

from api.uploads.encodings import readable
from api.uploads.known import plain
from api.uploads.rows import Cell, Formula

_KINDS: tuple[tuple[str, str], ...] = (
    ("e-mail", r"e ?mail|mail|courriel|correo|e mail address"),
    ("telephone", r"phone|telephone|telefon|tel|mobile|handy|telefono|fax|contact"),
    ("address", r"address|adresse|anschrift|direccion|indirizzo|street|strasse|rue|calle|via|house number|apartment|"
                r"city|town|stadt|ort|ville|ciudad|postcode|post code|postal code|zip|zip code|plz|cap|cp|"
                r"county|state|province|provincia|delivery instructions|line 1|line 2"),
    ("name", r"first name|last name|full name|surname|forename|name|vorname|nachname|prenom|nom|nombre|apellidos?|"
             r"cognome|nome|(?:back|support|fund|custom|buy)ers?|sponsor|recipient|username|user name|nickname"),
    ("free text", r"notes?|comments?|message|remarks?|bemerkung|kommentar|nachricht|gift message"),
    ("payment or person", r"birthday|birth date|date of birth|geburtsdatum|vat number|tax id|card|iban|ip|ip address|"
                          r"company|firma|gender"),
    ("account", r"handle|profile|account|social media|social network"),
)  # fmt: skip
_COMPILED = tuple((kind, re.compile(rf"(?:^|\b)(?:{words})(?:\b|$)")) for kind, words in _KINDS)
# "Tier name", "Handle colour" or "Supporter no" are about goods and counts, "Address country" is about the destination.
_NOT_A_PERSON = re.compile(
    r"\b(country|tier|reward|product|item|sku|pledge|colou?r|colourway|variant|option|add on|addon|"
    r"number|no|nr|id|uid|ref|reference|count|quantity|qty|date|status|choice)\b"
)
_A_COUNTRY = re.compile(r"\b(country|country code|land|pays|pais|paese)\b")
# "State" alone is where an order stands as often as where somebody lives: were it left unread, refunds in it were too.
_A_COUNTRY_OR_STATE = re.compile(rf"{_A_COUNTRY.pattern}|^state$")
_EXCEPT = {"name": _NOT_A_PERSON, "account": _NOT_A_PERSON, "address": _A_COUNTRY_OR_STATE}
_EMAIL = re.compile(r"[^\s@,;<>]{1,64}@[^\s@,;<>]{1,200}\.[A-Za-z]{2,}")
_TELEPHONE = re.compile(r"(\+|00)\d[\d\s()./-]{7,18}\d")


NOT_KEPT = "(not kept: looks personal)"
_LONGEST_KEPT = 2000


def personal_heading(heading: str) -> str | None:
    """The kind of personal data a heading announces, or None."""
    text = plain(heading)
    for kind, pattern in _COMPILED:
        if pattern.search(text) and not (kind in _EXCEPT and _EXCEPT[kind].search(text)):
            return kind
    return None


def personal_cells(cells: Sequence[Cell]) -> str | None:
    """The kind of personal data that many of a column's cells look like, or None."""
    texts = [cell for cell in cells if isinstance(cell, str) and cell.strip()]
    if not texts:
        return None
    for kind, pattern in (("e-mail", _EMAIL), ("telephone", _TELEPHONE)):
        if sum(bool(pattern.fullmatch(text.strip())) for text in texts) * 5 >= len(texts):
            return kind
    return None


def as_text(cell: Cell) -> str:
    """A cell as text; nothing for an empty one."""
    if cell is None:
        return ""
    return cell.isoformat() if isinstance(cell, date) else readable(str(cell))


def as_kept(cell: Cell) -> str:
    """A cell of a row set aside as it may be kept until the maker deals with it: whole, unless it looks personal. A
    formula keeps its mark, and so is still none when it is read again."""
    text = as_text(cell)
    if isinstance(cell, Formula) and not text.startswith("="):
        text = f"={text}"
    if _EMAIL.search(text) or _TELEPHONE.search(text):
        return NOT_KEPT
    return text[:_LONGEST_KEPT]


def shown(cell: Cell) -> str:
    """A cell's words as they may be quoted in a report: short, and without what looks like an e-mail address."""
    text = readable(" ".join(str(cell).split()))
    if "@" in text or _TELEPHONE.search(text):
        return "(not shown: may be personal)"
    return text if len(text) <= 60 else text[:57] + "..."
