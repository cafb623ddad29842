"""For whom files for people are made: the language of their texts, what weights are written in, the size of sheets."""

from dataclasses import dataclass
from typing import Annotated, Literal

from fastapi import Depends, Query

from api.apart.typesetting import Size
from api.languages import LANGUAGES, reading


@dataclass(frozen=True)
class Language:
    """As the query asks for it."""

    language: Annotated[str, Query(pattern=f"^({'|'.join(LANGUAGES)})$", description="of the texts in it")] = "en"

    def begin(self) -> None:
        """From here on, what is written is for who reads this; in English as in documents."""
        reading.begin(reading.Reader(self.language, self.locale))

    @property
    def locale(self) -> str:
        """By which figures and dates are written; none: as in documents."""
        return "" if self.language == "en" else self.language


@dataclass(frozen=True)
class Written(Language):
    """The same with weights in it."""

    weights: Annotated[Literal["kg", "lb"], Query(description="kilograms and grams, or pounds and ounces")] = "kg"

    def begin(self) -> None:
        """From here on, what is written is for who reads this; in English as in documents."""
        reading.begin(reading.Reader(self.language, self.locale, self.weights == "lb"))


@dataclass(frozen=True)
class Sheets(Written):
    """The same on sheets of paper."""

    size: Annotated[Size, Query(description="of the sheets")] = "a4"


AskedLanguage = Annotated[Language, Depends()]
AskedWritten = Annotated[Written, Depends()]
AskedSheets = Annotated[Sheets, Depends()]
