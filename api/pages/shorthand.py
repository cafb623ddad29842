"""What a maker types into one field, read as names and counts: `shell x2, tray` or `sage, lid: charcoal`."""

import re
import unicodedata
from dataclasses import dataclass

from api.pages.measures import spans

LONGEST_ID = 40
_DAY = re.compile(r"(mon|tue|wed|thu|fri|sat|sun)[a-z]*")
_COUNTED = re.compile(r"^(?:(?P<before>\d{1,6})\s*x?\s+)?(?P<name>.*?)(?:\s+x\s?(?P<after>\d{1,6}))?$", re.I)


def as_id(text: str) -> str:
    """A name as the campaign writes it: `Herb Planter` is `herb-planter`. Empty where nothing of it can be kept."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9_]+", "-", plain).strip("-_")[:LONGEST_ID]


def yes_or_no(text: str) -> bool | None:
    """`yes` or `no`; none where nothing is said. Raises ValueError in the maker's words."""
    said = text.strip().casefold()
    if said not in ("", "yes", "y", "no", "n"):
        raise ValueError(f"{text[:40]!r} is neither yes nor no")
    return None if not said else said.startswith("y")


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


def listed(text: str, between: str = ",;") -> list[str]:
    """`sage, cream` as two."""
    return [one.strip() for one in re.split(f"[{between}]", text) if one.strip()]


def ids(text: str) -> list[str]:
    """`Big, small one` as `big` and `small-one`."""
    return [as_id(one) or one for one in listed(text)]


def counted(text: str) -> dict[str, int]:
    """`shell x2, tray` as two shells and one tray. Raises ValueError in the maker's words."""
    found: dict[str, int] = {}
    for one in listed(text):
        match = _COUNTED.match(one)
        name = as_id(match["name"]) if match else ""
        if match is None or not name:
            raise ValueError(f"{one[:40]!r} names nothing; write it like `shell x2, tray`")
        if name in found:
            raise ValueError(f"{name} is named twice; say how many at once, like `{name} x2`")
        found[name] = int(match["before"] or match["after"] or 1)
    return found


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


def colours(text: str) -> Colours:
    """`sage, lid: charcoal + smoke`: colours, some for a named part, two barrels joined by +."""
    otherwise, by_part = [], {}
    for one in listed(text):
        part, colon, chosen = one.rpartition(":")
        barrels = [as_id(colour) or colour for colour in listed(chosen, "+")]
        if colon:
            by_part[as_id(part)] = barrels
        else:
            otherwise.append(barrels)
    return Colours(otherwise, by_part)


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
