"""What goes into moulds before a shot, and which of several tools makes how many, in the form; and filled in."""

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any

from api.pages import shorthand
from api.pages.form_made import Made
from api.pages.form_rows import MOST_ROWS, Filled, rows_of
from api.pages.form_values import text

Thing = Mapping[str, Any]
Row = dict[str, str]
HERE = ("here", "hier")
"""What a maker writes of a tool that works on our own floor."""


def write(made: Made, filled: Filled) -> None:
    """What parts are moulded over, into the parts; shots by tool, into the planning."""
    parts, pieces, colours = (made.names[section] for section in ("parts", "pieces", "colours"))
    document = made.document
    number = Counter[str]()
    for at, row in rows_of(filled, "moulded_over"):
        part, takes = parts.meant(row["part"]), row["takes"]
        if part not in document.get("parts", {}):
            told = f"there is no part {row['part'][:40]!r}" if row["part"] else "say which part is moulded over it"
            made.problems.append((at + "part", told))
        elif (inner := parts.find(takes)) is not None:
            here: list[str | int] = ["parts", part, "moulded_over", "parts", number[part]]
            number[part] += 1
            made.put([*here, "part"], inner, at + "takes")
            made.put([*here, "colours"], _colours(made, inner, row["colours"]), at + "colours")
            made.number([*here, "number"], row["number"], at + "number")
        elif (piece := pieces.find(takes)) is not None:
            made.fields["/".join(["", "parts", part, "moulded_over"])] = at + "takes"
            made.number(["parts", part, "moulded_over", "pieces", piece], row["number"] or "1", at + "number")
        else:
            told = f"there is no part or bought-in piece {takes[:40]!r}" if takes else "say what goes into its mould"
            made.problems.append((at + "takes", told))
    for n, (at, row) in enumerate(rows_of(filled, "made_by")):
        here = ["planning", "made_by", n]
        made.put([*here, "tool"], made.names["tools"].meant(row["tool"]) or row["tool"], at + "tool")
        named = [colours.meant(one) for one in shorthand.listed(row["colours"], "+,", colours.find)]
        made.put([*here, "colours"], named, at + "colours")
        made.number([*here, "shots"], row["shots"], at + "shots")


def stand(made: Made, tools: Iterable[tuple[str, str, str]]) -> None:
    """Where tools work that may go to several places, into the planning. tools: name, what is typed, and its field."""
    places = made.names["places"]
    for n, (tool, said, field) in enumerate(one for one in tools if one[1]):
        here: list[str | int] = ["planning", "made_at", n]
        made.put([*here, "tool"], tool, field)
        home = places.find(said) is None and said.strip().casefold() in HERE
        made.put([*here, "place"], None if home else places.meant(said), field)


def goes_into_moulds(made: Made, filled: Filled) -> set[str]:
    """Parts that go into the mould of others, so that they are no parts of a product by themselves."""
    parts = made.names["parts"]
    rows = [row for _, row in rows_of(filled, "moulded_over") if parts.find(row["part"]) is not None]
    return {part for row in rows if (part := parts.find(row["takes"])) is not None}


def _colours(made: Made, part: str, said: str) -> list[str]:
    """Colours of a part, one for each of its barrels; one said stands for all."""
    known = made.names["colours"]
    named = [known.meant(one) for one in shorthand.listed(said, "+,", known.find)]
    barrels = len(made.document.get("parts", {}).get(part, {}).get("barrels", [])) or 1
    return named * barrels if len(named) == 1 else named


def over_in(document: Thing) -> list[Row]:
    """What goes into moulds as it would be typed, part by part."""
    rows = []
    for name, part in (document.get("parts") or {}).items():
        over = part.get("moulded_over") or {}
        for one in over.get("parts") or []:
            row = {"part": name, "takes": text(one.get("part")), "colours": " + ".join(one.get("colours") or [])}
            rows.append(row | {"number": text(one.get("number"))})
        for piece, number in (over.get("pieces") or {}).items():
            rows.append({"part": name, "takes": piece, "colours": "", "number": text(number)})
    return rows[:MOST_ROWS]


def made_by_in(document: Thing) -> list[Row]:
    """Who makes how many, as it would be typed."""
    said = (document.get("planning") or {}).get("made_by") or []
    return [
        {known: text(one.get(known)) for known in ("tool", "shots")} | {"colours": " + ".join(one.get("colours") or [])}
        for one in said
    ][:MOST_ROWS]


def stands_in(document: Thing) -> dict[str, str]:
    """Tool -> where it is said to work, as it would be typed."""
    said = (document.get("planning") or {}).get("made_at") or []
    return {text(one.get("tool")): text(one.get("place")) or HERE[0] for one in said}
