"""Destinations: ISO 3166-1 codes with the names people write, and which of them share a customs territory.

Source: the Unicode CLDR as the Babel library holds it, for codes and names, in the languages of `_LANGUAGES`
and, in other letters, of `_OTHER_SCRIPTS`; its English names are shown, and take no position on any territory. What
else people write stands in `_ALSO`.
"""

import re
import unicodedata
from collections.abc import Sequence
from functools import cache

from babel import Locale
from babel.core import get_global

_LANGUAGES = (
    "en", "de", "fr", "es", "it", "nl", "pt", "da", "sv", "nb", "fi", "is", "et", "lv", "lt", "pl",
    "cs", "sk", "sl", "hr", "hu", "ro", "ga", "mt", "lb", "ca", "sq", "tr", "id",
)  # fmt: skip
_OTHER_SCRIPTS = (
    "el", "ru", "uk", "be", "bg", "mk", "sr", "kk", "mn", "hy", "ka", "ar", "fa", "ur", "he", "hi", "bn", "ta", "te",
    "th", "km", "my", "si", "ne", "am", "ja", "ko", "zh", "zh_Hant", "zh_Hant_HK",
)  # fmt: skip
"""Looked up only for a word in other than Latin letters: reading them all takes a moment."""
_LONGEST = 200
"""Letters of a cell in which several names may stand."""
_FLAG = re.compile("[\U0001f1e6-\U0001f1ff]{2}")
_BETWEEN_NAMES = re.compile(r"\s*[()\[\]/|（）／]\s*|\s[-–—]\s")
_NO_COUNTRY = re.compile("AA|Q[M-Z]|X[A-Z]|ZZ|EU")
"""Codes that ISO 3166-1 leaves to its users, and the union of several countries."""
_OF_OLD = frozenset({"BUR", "DDR", "FXX", "TMP", "YMD", "ZAR"})
"""Three-letter codes of countries that have others today."""

_ALSO = """
AE UAE|Emirates
AG Antigua
AT Oesterreich
BA Bosnia
BO Plurinational State of Bolivia
BQ Bonaire, Sint Eustatius and Saba|Bonaire
CC Cocos Islands
CD Democratic Republic of the Congo|Congo (Dem. Rep.)|DR Congo|Congo-Kinshasa
CG Republic of the Congo|Congo|Congo-Brazzaville
CI Ivory Coast
CN People's Republic of China|PR China|Mainland China
CZ Czech Republic
FK Falkland Islands (Malvinas)
FM Federated States of Micronesia
FO Faroes
GB UK|Great Britain|Britain|England|Scotland|Wales|Northern Ireland
GB United Kingdom of Great Britain and Northern Ireland
GR EL|Hellas
GS South Georgia and the South Sandwich Islands
HK Hong Kong|Hong Kong SAR
IE Republic of Ireland|Eire
IR Islamic Republic of Iran
JP Nippon
KP Democratic People's Republic of Korea|Korea (North)
KR Republic of Korea|Korea (South)|Korea (Republic of)
LA Lao People's Democratic Republic
MD Republic of Moldova
MF Saint Martin (French)|Saint Martin (French part)
MK Macedonia
MM Burma|Myanmar
MO Macao|Macau
NZ Aotearoa
PF Tahiti
PN Pitcairn
PS Palestine|State of Palestine
RS Srbija
RU Russian Federation
SH Saint Helena
SK Slovak Republic
SX Saint Maarten (Dutch)|Sint Maarten (Dutch part)
SY Syrian Arab Republic
SZ Swaziland
TF French Southern Territories
TL East Timor
TR Turkey
TW Taiwan, Province of China
TZ United Republic of Tanzania
UM United States Minor Outlying Islands|US minor outlying islands
US United States of America|America
VA Holy See|Holy See (Vatican City State)
VC Saint Vincent|Saint Vincent and the Grenadines
VE Bolivarian Republic of Venezuela
VG Virgin Islands (UK)
VI Virgin Islands (US)
WS Western Samoa
AE 아랍에미리트
CN 中华人民共和国|中國|中国大陆|中國大陸
GB Англия|Великобритания|Велика Британія|英国|英國|イギリス|영국
HK 香港|홍콩
JP 日本国
KR Южная Корея|Південна Корея|韓國|韩国|한국|南韓
RU Российская Федерация|РФ
TH ประเทศไทย
TW 台湾|台灣|臺灣|대만
US США|Соединенные Штаты|Соединённые Штаты Америки|ΗΠΑ|САЩ|アメリカ|アメリカ合衆国|米国|美国|美國|미국
"""

EU_MEMBERS = frozenset(
    {
        *("AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU"),
        *("IE", "IT", "LT", "LU", "LV", "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK"),
    }
)
"""The 27 members. Parts of some (Canary Islands, Åland, ...) lie outside its VAT or customs territory."""


def _codes() -> dict[str, str]:
    """Alpha-2 code by alpha-3 code, all of ISO 3166-1: what has a number there, too."""
    same = {code: found[0] for code, found in get_global("territory_aliases").items() if len(found) == 1}
    numbered = {two for code, two in same.items() if re.fullmatch(r"\d{3}", code) and not _NO_COUNTRY.fullmatch(two)}
    three = {code: two for code, two in same.items() if re.fullmatch("[A-Z]{3}", code) and code not in _OF_OLD}
    return {code: two for code, two in three.items() if two in numbered}


_ALPHA_3 = _codes()
NAMES: dict[str, str] = {code: Locale("en").territories[code] for code in sorted(set(_ALPHA_3.values()))}
"""Common name by alpha-2 code, all of ISO 3166-1."""


def _key(text: str) -> str:
    """One spelling for many: no accents, no dots or brackets, & as and, Saint as st, no leading the."""
    plain = unicodedata.normalize("NFKD", text).casefold()
    plain = "".join(c for c in plain if not unicodedata.combining(c)).replace("&", " and ").replace("’", "'")
    words = re.sub(r"[^\w']+", " ", plain.replace(".", "")).split()
    words = ["st" if word == "saint" else word for word in words]
    return " ".join(words[1:] if words[:1] == ["the"] else words)


@cache
def _by_key() -> dict[str, str]:
    """Alpha-2 code by every spelling. What names one country in English and another elsewhere is the English one; what
    names two countries otherwise is none."""
    found = {_key(code): code for code in NAMES} | {_key(three): two for three, two in _ALPHA_3.items()}
    for line in _ALSO.strip().splitlines():
        code, names = line.split(" ", 1)
        for name in names.split("|"):
            assert found.setdefault(_key(name), code) == code, f"{name} names two countries"
    found |= {_key(name): code for code, name in NAMES.items()}
    return _said_in(_LANGUAGES[1:]) | found


@cache
def _by_other_letters() -> dict[str, str]:
    """The same for names that are not in Latin letters."""
    return _said_in(_OTHER_SCRIPTS)


def _said_in(languages: Sequence[str]) -> dict[str, str]:
    """Alpha-2 code by each name that means one country only in all of them."""
    said: dict[str, set[str]] = {}
    for language in languages:
        for code, name in Locale.parse(language).territories.items():
            if code in NAMES:
                said.setdefault(_key(name), set()).add(code)
    return {name: min(codes) for name, codes in said.items() if len(codes) == 1}


def country_code(text: str) -> str | None:
    """ISO 3166-1 alpha-2 code for a code, a flag or a common name; None where it is not known for sure.

    Of several names, `Japan (日本)` or `DE - Germany`, all say the same country or none is meant.
    """
    text = _FLAG.sub(lambda flag: f" {''.join(chr(ord(c) - 0x1F1E6 + ord('A')) for c in flag[0])} ", text)
    if (code := _of_name(text)) is not None or len(text) > _LONGEST:
        return code
    names = [name for name in _BETWEEN_NAMES.split(text.strip()) if name]
    first, _, rest = text.strip().partition(" ")
    if len(names) == 1 and len(first) == 2 and first.isupper():  # a flag or a code before the name
        names = [first, rest]
    codes = {_of_name(name) for name in names}
    return codes.pop() if len(codes) == 1 else None


def _of_name(text: str) -> str | None:
    if (code := _by_key().get(key := _key(text))) is not None:
        return code
    if key and not key.isascii() and (code := _by_other_letters().get(key)) is not None:
        return code
    if "," not in text:
        return None
    name, title = text.split(",", 1)  # as in lists: Moldova, Republic of
    return _by_key().get(_key(f"{title} {name}"))
