"""What a maker types into one field, read as names and counts: `Shell x2, tray` or `Sage, lid: charcoal`.

Names stay as they are typed. Where one holds a comma or a colon itself, the longest stretch that is a name wins.
"""

import re
import unicodedata
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date

from api.pages.measures import day, spans
from api.uploads.known import plain
from planner.campaign.base import tidy

_DAY = re.compile(r"(mon|tue|wed|thu|fri|sat|sun)[a-z]*")
_ON_A_DAY = re.compile(r"(?P<day>.+?)[\s:]+(?P<hours>(?:closed|geschlossen)|\d{1,2}(?:[:.h]\d\d)?\s*(?:am|pm)?\s*"
                       r"(?:-|–|—|to|till|until|bis)\s*\d.*)", re.IGNORECASE)  # fmt: skip
_COUNTED = re.compile(r"(?:(?P<before>\d{1,6})\s*[x×]?\s+)?(?P<name>.*?)(?:\s+[x×]\s?(?P<after>\d{1,6}))?", re.I | re.S)


class Names:
    """The names of one kind of thing, and which of them a text means."""

    def __init__(self, names: Iterable[str] = ()) -> None:
        self.all = list(dict.fromkeys(filter(None, map(tidy, names))))
        self._alike: dict[str, set[str]] = {}
        for name in self.all:
            for spelling in {_folded(name), plain(name)} - {""}:
                self._alike.setdefault(spelling, set()).add(name)

    def find(self, text: str) -> str | None:
        """The name a text means: just so, else the only one that differs in capitals, blanks, hyphens or accents."""
        name = tidy(text)
        if name in self.all:
            return name
        for spelling in (_folded(name), plain(name)):
            if len(alike := self._alike.get(spelling, ())) == 1:
                return next(iter(alike))
        return None

    def meant(self, text: str) -> str:
        """The name a text means, else the text itself: whoever checks the document says that there is no such thing."""
        return self.find(text) or tidy(text)


NO_NAMES = Names()


def _folded(name: str) -> str:
    return unicodedata.normalize("NFKC", name).casefold()


def look(text: str) -> tuple[str, str]:
    """`#8fa58a, book 6021` as the colour on a screen and the reference beside it; either may be missing."""
    found = re.search(r"#([0-9a-fA-F]{6}|[0-9a-fA-F]{3})\b", text) or re.fullmatch(r"\s*([0-9a-fA-F]{6})\s*", text)
    if found is None:
        return "", text.strip()
    digits = found[1] if len(found[1]) == 6 else "".join(2 * digit for digit in found[1])
    rest = text[: found.start()] + text[found.end() :]
    return f"#{digits}", re.sub(r"\s+", " ", rest).strip(" ,;/()")


def yes_or_no(text: str) -> bool | None:
    """`yes` or `no`; none where nothing is said. Raises ValueError in the maker's words."""
    said = text.strip().casefold()
    if said not in ("", "yes", "y", "ja", "j", "no", "n", "nein"):
        raise ValueError(f"{text[:40]!r} is neither yes nor no")
    return None if not said else said[0] in "yj"


def three_points(text: str) -> float | dict[str, float]:
    """Days as `8`, as `7-10` (halfway is likely) or as `7-8-10`: early, likely and late. Raises ValueError."""
    said = [one.strip().replace(",", ".") for one in re.split(r"-|–|\bto\b|/", text) if one.strip()]
    if not 1 <= len(said) <= 3 or any(not re.fullmatch(r"\d{1,4}(\.\d{1,3})?", one) for one in said):
        raise ValueError(f"{text[:40]!r} gives no days; write 8, or 7-10, or 7-8-10 for early, likely and late")
    days = [float(one) for one in said]
    if days != sorted(days):
        raise ValueError(f"{text[:40]!r} does not rise; write early, likely and late, like 7-8-10")
    if len(days) == 1:
        return days[0]
    return {"early": days[0], "likely": days[1] if len(days) == 3 else (days[0] + days[1]) / 2, "late": days[-1]}


def chance(text: str) -> float | None:
    """`7 in 10`, `7 of 10`, `70 %` or `0.7` as 0.7; none where nothing is said. Raises ValueError."""
    said = text.strip().replace(",", ".")
    if not said:
        return None
    number = r"(\d{1,6}(?:\.\d{1,6})?)"
    if found := re.fullmatch(rf"{number}\s*(?:in|of|out of|/)\s*{number}", said):
        share = float(found[1]) / float(found[2]) if float(found[2]) else 2.0
    elif found := re.fullmatch(rf"{number}\s*(%?)", said):
        share = float(found[1]) / (100 if found[2] else 1)
    else:
        share = 2.0
    if not 0 < share <= 1:
        raise ValueError(f"{text[:40]!r} is no chance; write 7 in 10, 70 % or 0.7")
    return share


def two_days(text: str) -> tuple[date, date] | None:
    """`2027-01-11 to 2027-01-18` as two days; none where nothing is said. Raises ValueError."""
    if not text.strip():
        return None
    said = [one.strip() for one in re.split(r"\bto\b|\band\b|\bbis\b|–|\s-\s", text) if one.strip()]
    try:
        days = [date.fromisoformat(one) for one in said]
    except ValueError:
        days = []
    if len(days) != 2 or days[0] > days[1]:
        raise ValueError(f"{text[:40]!r} gives no two days; write 2027-01-11 to 2027-01-18")
    return days[0], days[1]


def listed(text: str, between: str = ",;", known: Callable[[str], object] = bool) -> list[str]:
    """`sage, cream` as two; as one where `known` knows just that."""
    cuts = [(0, 0), *(match.span() for match in re.finditer(f"[{between}]", text)), (len(text), len(text))]
    found, at = [], 0
    while at < len(cuts) - 1:
        ends = [end for end in range(len(cuts) - 1, at + 1, -1) if known is not bool]
        end = next((e for e in ends if known(text[cuts[at][1] : cuts[e][0]].strip())), at + 1)
        if one := text[cuts[at][1] : cuts[end][0]].strip():
            found.append(one)
        at = end
    return found


def named(text: str, names: Names) -> list[str]:
    """`Big, small one` as the two things that are called so."""
    return [names.meant(one) for one in listed(text, known=names.find)]


def counted(text: str, names: Names = NO_NAMES) -> dict[str, int]:
    """`shell x2, tray` as two shells and one tray. Raises ValueError in the maker's words."""
    found: dict[str, int] = {}
    for one in listed(text, known=lambda said: names.find(_count(said, names)[0])):
        name, count = _count(one, names)
        if not name:
            raise ValueError(f"{one[:40]!r} names nothing; write it like `shell x2, tray`")
        if name in found:
            raise ValueError(f"{name} is named twice; say how many at once, like `{name} x2`")
        found[name] = count
    return found


def _count(one: str, names: Names) -> tuple[str, int]:
    if (whole := names.find(one)) is not None:
        return whole, 1
    match = _COUNTED.fullmatch(one)
    return (names.meant(match["name"]), int(match["before"] or match["after"] or 1)) if match else ("", 1)


def said_counts(of: dict[str, int], names: Names) -> str:
    """`shell x2, tray`: so that it is read back as it is meant, whatever the names are."""
    said = []
    for name, count in of.items():
        ways = [name] if count == 1 else []
        ways += [f"{name} x{count}", f"{count} x {name}"]
        said.append(next((way for way in ways if _count(way, names) == (name, count)), ways[0]))
    return ", ".join(said)


def melt(text: str, resins: Names, colours: Names) -> str:
    """`PC/ABS/Sage` as the resin and the colour that are called so; as it stands where there is no `/`."""
    resin, cut, colour = text.rpartition("/")
    return f"{resins.meant(resin)}/{colours.meant(colour)}" if cut else tidy(text)


@dataclass(frozen=True)
class Colours:
    """Colours of a colourway as typed. Each choice lists one colour per barrel."""

    otherwise: list[list[str]]
    by_part: dict[str, list[str]]

    def of(self, parts: list[str]) -> dict[str, list[str]]:
        """part -> its colours: its own, else by place, else the one for all. Raises ValueError."""
        rest = [part for part in parts if part not in self.by_part]
        own = {part: self.by_part[part] for part in parts if part in self.by_part}
        if len(self.otherwise) == 1:
            return own | dict.fromkeys(rest, self.otherwise[0])
        if len(self.otherwise) != len(rest):
            raise ValueError(
                f"{len(self.otherwise)} colours for {len(rest)} parts ({', '.join(rest)}): give one for all, one "
                "each in this order, or name the part, like `lid: charcoal`"
            )
        return own | dict(zip(rest, self.otherwise, strict=True))


def colours(text: str, parts: Names = NO_NAMES, known: Names = NO_NAMES) -> Colours:
    """`sage, lid: charcoal + smoke`: colours, some for a named part, two barrels joined by +."""

    def sound(one: str) -> bool:
        part, chosen = owned(one, parts, known)
        return (not part or parts.find(part) is not None) and all(map(known.find, listed(chosen, "+", known.find)))

    otherwise, by_part = [], {}
    for one in listed(text, known=sound):
        part, chosen = owned(one, parts, known)
        barrels = [known.meant(colour) for colour in listed(chosen, "+", known.find)]
        if part:
            by_part[part] = barrels
        else:
            otherwise.append(barrels)
    return Colours(otherwise, by_part)


def owned(one: str, owners: Names, known: Names) -> tuple[str, str]:
    """`lid: charcoal` as whose it is ("" where nobody is named) and what: names may hold a colon themselves."""
    if known.find(one) is not None:
        return "", one
    cuts = [match.start() for match in re.finditer(":", one)]
    sure = [cut for cut in cuts if owners.find(one[:cut]) is not None]
    cut = (sure or cuts or [-1])[-1]
    return (owners.meant(one[:cut]), one[cut + 1 :].strip()) if cut >= 0 else ("", one)


def weekdays(text: str) -> list[str]:
    """`Tue, Fri` as the document has them."""
    return [day.lower()[:3] for day in listed(text)]


def week(text: str) -> dict[str, str]:
    """`06:00-22:00`, or `6am-10pm`, holds from Monday to Friday; `mon-thu 07:00-16:30; fri 07:00-14:00` says the days.

    Raises ValueError.
    """
    days: dict[str, str] = {}
    for one in listed(text, ";"):
        first, _, rest = one.partition(" ")
        if first[:1].isalpha() and rest:
            days[_DAY.sub(r"\1", first.lower().rstrip(":"))] = spans(rest)
        else:
            days["mon-fri"] = spans(one)
    return days


def dated(text: str) -> dict[str, str]:
    """`16 Jan 2027 6am-2pm x3; 2027-01-18 closed` as the hours of single days. Raises ValueError."""
    days: dict[str, str] = {}
    for one in listed(text, ";"):
        match = _ON_A_DAY.fullmatch(one)
        if match is None:
            told = f"{one[:40]!r} gives no day and hours; write 2027-01-16 06:00-14:00, or 2027-01-18 closed"
            raise ValueError(told)
        on, hours = day(match["day"]), match["hours"]
        if on in days:
            raise ValueError(f"{on} is named twice; say all its hours at once, like {on} 06:00-10:00, 11:00-14:00")
        days[on] = "closed" if hours[0].isalpha() else spans(hours)
    return days


def days_of(text: str) -> list[str]:
    """`18 Jan 2027, 2027-02-01` as days. Raises ValueError."""
    return [day(one) for one in listed(text)]
