"""For whom a file is written, as its query asks."""

from contextvars import copy_context

import pytest

from api.http.sheets import Language, Sheets, Written
from api.languages.reading import Reader, now_reading


@pytest.mark.parametrize(
    ("asked", "reader"),
    [
        (Language(), Reader("en", "")),
        (Language("de"), Reader("de", "de")),
        (Written("en", "lb"), Reader("en", "", pounds=True)),
        (Written("de"), Reader("de", "de", pounds=False)),
        (Sheets("de", "lb", "letter"), Reader("de", "de", pounds=True)),
    ],
)
def test_english_is_written_as_in_documents_and_german_by_its_own_locale(asked: Language, reader: Reader) -> None:
    def begun() -> Reader:
        asked.begin()
        return now_reading()

    assert copy_context().run(begun) == reader
