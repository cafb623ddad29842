"""For whom sheets are printed: their size, the language of their texts, and what weights are written in."""

from dataclasses import dataclass
from typing import Annotated, Literal

from fastapi import Depends, Query

from api import reading
from api.languages import LANGUAGES
from api.typesetting import Size


@dataclass(frozen=True)
class Sheets:
    """As the query asks for them."""

    size: Annotated[Size, Query(description="of the sheets")] = "a4"
    language: Annotated[str, Query(pattern=f"^({'|'.join(LANGUAGES)})$", description="of the sheets' texts")] = "en"
    weights: Annotated[Literal["kg", "lb"], Query(description="kilograms and grams, or pounds and ounces")] = "kg"

    def begin(self) -> None:
        """From here on, what is written is for who reads these sheets; in English as in documents."""
        locale = "" if self.language == "en" else self.language
        reading.begin(reading.Reader(self.language, locale, self.weights == "lb"))


AskedSheets = Annotated[Sheets, Depends()]
