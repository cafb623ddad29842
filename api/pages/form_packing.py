"""What goes into which carton, in the form: sizes, weights, cartons to choose from; and the form filled in."""

import math
import re
from collections.abc import Mapping, Sequence
from typing import Any

from api.pages import shorthand
from api.pages.form_made import Made, numbers
from api.pages.form_prices import entries_again
from api.pages.form_rows import Filled
from api.pages.form_values import text
from api.pages.measures import figure

Thing = Mapping[str, Any]
Row = dict[str, str]
CARTON = ("tare_g", "padding_mm")
_UNIT = re.compile(r"(?P<sides>.*?)\s*(?P<unit>[a-z]*)", re.IGNORECASE | re.DOTALL)


def write(made: Made, filled: Filled) -> None:
    """Sizes into pieces and products, what makes a piece a carton, cartons into tiers."""
    for section in ("pieces", "products"):
        for at, row, name in entries_again(made, filled, section):
            made.put(
                [section, name, "packed_mm"], made.heard(sides, row["packed_mm"], at + "packed_mm"), at + "packed_mm"
            )
    for at, row, name in entries_again(made, filled, "pieces"):
        made.number(["pieces", name, "mass_g"], row["mass_g"], at + "mass_g")
        here: list[str | int] = ["pieces", name, "carton"]
        made.put([*here, "inside_mm"], made.heard(sides, row["inside_mm"], at + "inside_mm"), at + "inside_mm")
        numbers(made, here, at, row, *CARTON)
    for at, row, name in entries_again(made, filled, "tiers"):
        made.put(["tiers", name, "cartons"], shorthand.named(row["cartons"], made.names["pieces"]), at + "cartons")


def sides(said: str) -> list[int] | None:
    """`310 x 220 x 160`, or `31 x 22 x 16 cm`, as whole millimetres, begun ones counted; none where nothing is said.

    Raises ValueError."""
    if not said.strip():
        return None
    found = _UNIT.fullmatch(said.strip())
    each = re.split(r"\s*[x×*]\s*", found["sides"] if found else "", flags=re.IGNORECASE)
    if found is None or len(each) != 3 or not all(re.search(r"\d", one) for one in each):
        raise ValueError(f"{said[:40]!r} gives no three sides; write length x width x height, like 310 x 220 x 160")
    return [math.ceil(round(figure(f"{one} {found['unit']}", "side_mm", ""), 6)) for one in each]


def size_in(thing: Thing) -> Row:
    """A size as it would be typed."""
    return {"packed_mm": _sides(thing.get("packed_mm"))}


def carton_in(piece: Thing) -> Row:
    """What makes a piece a carton, as it would be typed."""
    carton: Thing = piece.get("carton") or {}
    return {"inside_mm": _sides(carton.get("inside_mm"))} | {known: text(carton.get(known)) for known in CARTON}


def _sides(each: Sequence[object] | None) -> str:
    return " x ".join(map(text, each or []))
