"""Sentences that are put together elsewhere, by the planner above all: known by their patterns in a language's file.

The planner knows no reader. It says `waited for 3 days` in English, and the file has `waited for %(1)s` under the
context `sentence`. What stands in a gap stays: names are as typed. A gap `%(s1)s` holds a sentence again and is looked
up in turn; `%(f1)s` takes figures only; `%(w1)s` takes anything, which stays in its language. Days, figures
and money are put into the reader's way of writing, in English too.
"""

import calendar
import re
from collections.abc import Callable
from contextvars import copy_context
from dataclasses import dataclass
from datetime import date
from functools import cache, lru_cache

from babel import Locale
from babel.dates import format_skeleton

from api.languages import catalogue, gettext, ngettext
from api.languages.reading import Reader, begin, now_reading
from api.languages.wording import MONTHS, THIN, WEEKDAYS, day, kilograms, money, number, short_day

CONTEXT = "sentence"
_GAP = re.compile(r"%\((\w+)\)s")
_DAY = re.compile(rf"\b({'|'.join(WEEKDAYS)}) (\d{{1,2}}) ({'|'.join(MONTHS)})(?: (\d{{4}}))?\b")
_FIGURE = re.compile(
    rf"(?<![\w.{THIN}:-])(\d{{1,3}}(?:{THIN}\d{{3}})*|\d+)(?:\.(\d+))?{THIN}([A-Z]{{3}}|kg|g|t|kN|%|h|min|s|mm|lb|oz)\b"
)
_FIGURE_AND_SIGN = re.compile(rf"(?<![\w.{THIN}:-])(\d{{1,3}}(?:{THIN}\d{{3}})*|\d+)(?:\.(\d+))?{THIN}(%)")
_LONG_DAY = re.compile(rf"\b(\d{{1,2}}) ({'|'.join(calendar.month_name[1:])}) (\d{{4}})\b")
_MARK = re.compile(r"((?:#+ |- |\| )?)(.*?)((?: \|)?)", re.DOTALL)
_DECIMAL = re.compile(r"\d{1,9}\.\d{1,6}")
_TWO_STOPS = re.compile(r"(\b\d{1,2}\. \w+\.)\.(?=\s|$)")
"""A sentence that ends in a day has ended: `22. Jan.`"""
_DAYS = re.compile(r"\b(\d+) days?\b")
_SENTENCE_END = re.compile(
    r"(?<=[^\W_A-ZÀ-ÖØ-Þ][.]) (?=[A-ZÀ-ÖØ-Þ])|(?<=[)%][.]) (?=[A-ZÀ-ÖØ-Þ])|(?<=[A-Z]{2}[.]) (?=[A-ZÀ-ÖØ-Þ])"
    r"|(?<=%[.]) |(?<=the bottleneck[.]) "
)
"""The next one begins with a capital; behind what binds a plan stands a tier's name, however that is written. The one
before ends in a small letter of any language (Weiß), a figure or two capitals (ABS): one alone may be a name's."""
_NAME = r"(?:(?![.;] ).){1,400}?"
_KIND = re.compile(r"([sfw])(?=\d|_)")
_HOLDS = {"s": r".+?", "w": r".+", "f": rf"[\d.,{THIN} ]+(?: days?)?"}
"""What a gap takes: names or a short wording without the end of a sentence (a tool in two melts may have the longest
names); a sentence; anything; a figure."""
_WORD = re.compile(r"[A-Za-z]{4,}")
_JOINTS = ("; ", ", ", " and ")
_YEARS = range(2020, 2048)


@dataclass(frozen=True)
class Pattern:
    """A sentence with gaps. longest: its longest words, for a first look."""

    match: Callable[[str], re.Match[str] | None]
    longest: str
    translated: str


def said(text: str) -> str:
    """A sentence of the planner's, or of a list, as the reader reads it; names in it are as typed."""
    reader = now_reading()
    if not text or not (reader.locale or reader.pounds):
        return text
    return _said(text, Reader(reader.language, reader.locale, reader.pounds))


def in_language(text: str, language: str) -> str:
    """A text in Markdown, line by line and cell by cell, for people who read that language."""
    if language == "en":
        return text
    reader = Reader(language, language)
    lines = ([_words_of(cell) for cell in line.split(" | ")] for line in text.split("\n"))
    return "\n".join(" | ".join(a + _said(words, reader) + z for a, words, z in cells) for cells in lines)


def _words_of(cell: str) -> tuple[str, str, str]:
    """A line's or cell's mark of Markdown (heading, point, edge of a table), its words, and the edge behind them."""
    found = _MARK.fullmatch(cell)
    return (found[1], found[2], found[3]) if found else ("", cell, "")


@lru_cache(maxsize=20_000)
def _said(text: str, reader: Reader) -> str:
    here = copy_context()
    here.run(begin, reader)
    if reader.language == "en":
        return here.run(rewritten, text)
    return _TWO_STOPS.sub(r"\1", here.run(_in_words, text, reader.language))


def rewritten(text: str) -> str:
    """The same with days, figures and money in the reader's way of writing."""
    if any(name in text for name in WEEKDAYS):
        text = _DAY.sub(_day, text)
    text = _LONG_DAY.sub(_long_day, text)
    if now_reading().language != "en" and " day" in text:
        text = _DAYS.sub(lambda found: f"{found[1]} {ngettext('day', 'days', int(found[1]))}", text)
    if _DECIMAL.fullmatch(text):
        return number(float(text), len(text.partition(".")[2]))
    if THIN in text:
        text = _FIGURE_AND_SIGN.sub(_figure, _FIGURE.sub(_figure, text))
    return text


def _day(found: re.Match[str]) -> str:
    weekday, number_, month, year = found.groups()
    for one in [int(year)] if year else _YEARS:
        try:
            when = date(one, MONTHS.index(month) + 1, int(number_))
        except ValueError:
            continue
        if WEEKDAYS[when.weekday()] == weekday:
            return day(when) if year else short_day(when)
    return found[0]


def _long_day(found: re.Match[str]) -> str:
    when = date(int(found[3]), list(calendar.month_name).index(found[2]), int(found[1]))
    return str(format_skeleton("yMMMMd", when, locale=Locale.parse(now_reading().locale or "en_GB")))


def _figure(found: re.Match[str]) -> str:
    whole, places, unit = found.groups()
    value, many = float(f"{whole.replace(THIN, '')}.{places or 0}"), len(places or "")
    if unit == "kg":
        return kilograms(value)
    return money(value, unit) if unit.isupper() and len(unit) == 3 else f"{number(value, many)}{THIN}{unit}"


def _in_words(text: str, language: str, deep: int = 0) -> str:
    """Translated whole, sentence by sentence, or as a list of which each piece is known; else it stays as it is: half a
    caution in one language and half in another is worse than all of it in the other."""
    core = text.strip()
    if not any(c.isalpha() for c in core) or deep > 6:
        return rewritten(text)
    if (entry := _table(language)[0].get(core)) is not None:
        return text.replace(core, entry, 1)
    sentences = _SENTENCE_END.split(core)
    if len(sentences) > 1:
        return text.replace(core, _one_by_one(sentences, language, deep), 1)
    whole, listed = _whole(core, language, deep), _list(core, language, deep)
    found = _better(core, listed, whole) if deep else whole or listed
    return rewritten(text) if found is None else text.replace(core, found, 1)


def _better(text: str, listed: str | None, whole: str | None) -> str | None:
    """Of a text taken as a list and as a whole the one of which fewer words stayed; the list where both are as good."""
    if listed is None or whole is None:
        return listed or whole
    words = set(_WORD.findall(text))
    return min(listed, whole, key=lambda one: len(words & set(_WORD.findall(one))))


def _one_by_one(sentences: list[str], language: str, deep: int) -> str:
    """As few sentences as can be stay unknown: each alone, or several that the language's file has as one."""
    best: list[tuple[int, str]] = [(0, "")]
    for first in range(len(sentences) - 1, -1, -1):
        ways = []
        for behind in range(first + 1, len(sentences) + 1):
            text = " ".join(sentences[first:behind])
            alone = behind == first + 1
            found = _alone(text, language, deep) if alone else _whole(text, language, deep)
            unknown, rest = best[len(sentences) - behind]
            if found is not None or alone:
                said_ = found if found is not None else rewritten(text)
                ways.append((unknown + (found is None), f"{said_} {rest}".rstrip()))
        best.append(min(ways, key=lambda way: way[0]))
    return best[-1][1]


def _alone(sentence: str, language: str, deep: int) -> str | None:
    return _whole(sentence, language, deep) or _list(sentence, language, deep + 1)


def _whole(text: str, language: str, deep: int) -> str | None:
    """A sentence that is known, with or without its full stop, or as the beginning of a line."""
    found = _known(text, language, deep)
    if found is None and text.endswith("."):
        found = _known(text[:-1], language, deep)
        found = None if found is None else f"{found}."
    if found is None and text[0].isupper():
        found = _known(text[0].lower() + text[1:], language, deep)
        found = None if found is None else found[:1].upper() + found[1:]
    return found


def _list(text: str, language: str, deep: int) -> str | None:
    """Several sentences in a row, each of them known; else nothing. A word alone may be a name and stays."""
    for joint in _JOINTS:
        pieces = text.split(joint)
        if len(pieces) > 1:
            told = [_piece(one, language, deep + 1) if " " in one else one for one in pieces]
            between = f" {gettext('and')} " if joint == " and " else joint
            if None not in told and told != pieces:
                # a figure alone is written as the reader's country does, which for the others is done already
                return between.join(one if " " in one else rewritten(one) for one in told if one is not None)
    return None


def _piece(text: str, language: str, deep: int) -> str | None:
    """A piece of a list, which may be a list by another joint: `pair leaves late, trio leaves later` before a `;`."""
    return _better(text, _list(text, language, deep), _whole(text, language, deep)) if deep < 8 else None


def _known(text: str, language: str, deep: int) -> str | None:
    whole, patterns = _table(language)
    if text in whole:
        return whole[text]
    for pattern in patterns:
        if pattern.longest in text and (found := pattern.match(text)):
            filled = {
                name[1:]: _in_words(value, language, deep + 1) if _kind(name[1:]) == "s" else rewritten(value)
                for name, value in found.groupdict().items()
            }
            if any(
                _kind(name[1:]) == "s" and _stays(value, filled[name[1:]]) for name, value in found.groupdict().items()
            ):
                continue
            return _GAP.sub(lambda gap, filled=filled: filled[gap[1]], pattern.translated)  # type: ignore[misc]
    return None


def _kind(gap: str) -> str:
    found = _KIND.match(gap)
    return found[1] if found else ""


def _stays(value: str, translated: str) -> bool:
    """Whether a sentence in a gap is not known: more than a name, and as it was."""
    return translated == rewritten(value) and len(re.findall(r"[A-Za-z]{3,}", value)) > 3


@cache
def _table(language: str) -> tuple[dict[str, str], list[Pattern]]:
    """Sentences without gaps, and those with, the most telling first."""
    whole: dict[str, str] = {}
    patterns: list[tuple[int, Pattern]] = []
    for text, translated in catalogue(language, CONTEXT).items():
        pieces = _GAP.split(text)
        words = [piece.replace("%%", "%") for piece in pieces[::2]]
        translated = translated.replace("%%", "%")
        if len(pieces) == 1:
            whole[words[0]] = translated
            continue
        gaps = [f"(?P<g{name}>{_HOLDS.get(_kind(name), _NAME)})" for name in pieces[1::2]]
        whole_pattern = "".join(re.escape(w) + g for w, g in zip(words, [*gaps, ""], strict=True))
        known = Pattern(re.compile(whole_pattern, re.DOTALL).fullmatch, max(words, key=len), translated)
        patterns.append((sum(map(len, words)), known))
    return whole, [pattern for _, pattern in sorted(patterns, key=lambda one: -one[0])]
