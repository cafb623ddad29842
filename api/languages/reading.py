"""For whom a page is written: their language, how they write days, figures and money, and what they weigh in."""

from contextvars import ContextVar
from dataclasses import dataclass


@dataclass(frozen=True)
class Reader:
    """language: of the texts. locale: how days and figures are written, `en_US`; "": as in documents, in no country's
    way. pounds: weights in pounds and ounces. path: of the page."""

    language: str = "en"
    locale: str = ""
    pounds: bool = False
    path: str = "/"


NOBODY = Reader()
_reader: ContextVar[Reader] = ContextVar("reader", default=NOBODY)


def begin(reader: Reader) -> None:
    """From here on in this request."""
    _reader.set(reader)


def now_reading() -> Reader:
    """Outside a page, nobody in particular: documents are the same for all."""
    return _reader.get()
