"""Texts in other languages: a language is a file, `de.po`, in gettext's format. What has no translation is English."""

import io
from functools import cache
from pathlib import Path

from babel import Locale
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from babel.support import NullTranslations, Translations

from api.languages.reading import now_reading

HERE = Path(__file__).resolve().parent
LANGUAGES = {
    code: str(Locale.parse(code).get_display_name(code)).capitalize()
    for code in ("en", *sorted(path.stem for path in HERE.glob("*.po")))
}
"""Code -> what it calls itself."""


@cache
def texts(language: str) -> NullTranslations:
    """The language's catalogue; of English, or one there is no file of, nothing: texts stay as they are."""
    path = HERE / f"{language}.po"
    if not path.exists():
        return NullTranslations()
    with path.open("rb") as file:
        catalogue = read_po(file, locale=language)
    compiled = io.BytesIO()
    write_mo(compiled, catalogue)
    compiled.seek(0)
    return Translations(compiled)


@cache
def catalogue(language: str, context: str | None) -> dict[str, str]:
    """A language's texts of that context, None: those without; nothing of English."""
    path = HERE / f"{language}.po"
    if not path.exists():
        return {}
    with path.open("rb") as file:
        return {str(one.id): str(one.string) for one in read_po(file, locale=language) if one.context == context}


def gettext(text: str) -> str:
    """The text in the reader's language."""
    return str(texts(now_reading().language).ugettext(text))


def ngettext(one: str, many: str, count: int) -> str:
    """The form of a text that the count asks for, in the reader's language."""
    return str(texts(now_reading().language).ungettext(one, many, count))
