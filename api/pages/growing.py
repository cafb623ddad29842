"""The form that grows: its rows as filled in, and the campaign document they make.

For one product moulded in one shot a part. What goes beyond (two barrels, family tools, calendars, stock) is written
in the campaign document, which this form can hand over as it stands.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from api.pages.form_fields import HEAD, SECTIONS, Section

MOST_ROWS = 60


@dataclass
class Filled:
    """The form as it was filled in. rows: section -> rows of field -> text."""

    head: dict[str, str] = field(default_factory=dict)
    rows: dict[str, list[dict[str, str]]] = field(default_factory=dict)


@dataclass
class Made:
    """The document, which field each pointer came from, and what could not be turned into a value."""

    document: dict[str, Any]
    fields: dict[str, str] = field(default_factory=dict)
    problems: list[tuple[str, str]] = field(default_factory=list)


def empty() -> Filled:
    """One row of each kind, with what is usual already there."""
    head = {ask.name: ask.usual for ask in HEAD}
    return Filled(head, {s.name: [{ask.name: ask.usual for ask in s.asks}] for s in SECTIONS})


def read(form: Mapping[str, Any]) -> Filled:
    """What was sent: `section.row.field`. Rows are kept as they are, empty ones too."""
    filled = Filled({ask.name: str(form.get(ask.name, "")).strip() for ask in HEAD})
    for section in SECTIONS:
        rows = []
        for number in range(MOST_ROWS):
            names = {ask.name: f"{section.name}.{number}.{ask.name}" for ask in section.asks}
            if not any(name in form for name in names.values()):
                break
            rows.append({ask: str(form.get(name, "")).strip() for ask, name in names.items()})
        filled.rows[section.name] = rows or [{ask.name: ask.usual for ask in section.asks}]
    return filled


def grow(filled: Filled, section: str) -> None:
    """One more row."""
    known = next((one for one in SECTIONS if one.name == section), None)
    if known and len(filled.rows[section]) < MOST_ROWS:
        filled.rows[section].append({ask.name: ask.usual for ask in known.asks})


def named(row: Mapping[str, str], section: Section) -> bool:
    """Whether a row says anything beyond what is usual."""
    return any(row.get(ask.name, "") not in ("", ask.usual) for ask in section.asks)


def make(filled: Filled) -> Made:
    """The campaign document the form describes; values that cannot be read are told by field."""
    made = Made({"document": "campaign/1"})
    writer = _Writer(made)
    for name in ("name", "currency", "time_zone", "start"):
        writer.put([name], filled.head.get(name, ""), name)
    product = filled.head.get("product", "") or "product"
    rows = {
        one.name: [(f"{one.name}.{n}.", row) for n, row in enumerate(filled.rows[one.name]) if named(row, one)]
        for one in SECTIONS
    }
    for at, row in rows["presses"]:
        here = ["presses", writer.id(at, row)]
        writer.put([*here, "barrels", 0, "holdup_kg"], row["holdup_kg"], at + "holdup_kg", number=True)
        writer.put([*here, "barrels", 0, "shot_max_g"], row["shot_max_g"], at + "shot_max_g", number=True)
        writer.put([*here, "clamp_kn"], row["clamp_kn"], at + "clamp_kn", number=True)
        writer.put([*here, "rate_per_hour"], row["rate_per_hour"], at + "rate_per_hour", number=True)
        if row["hours"]:
            writer.put([*here, "hours", "mon-fri"], row["hours"], at + "hours")
            made.fields["/".join(["", *here, "hours"])] = at + "hours"
    for at, row in rows["resins"]:
        here = ["resins", writer.id(at, row)]
        writer.put([*here, "family"], row["family"], at + "family")
        for name in ("price_per_kg", "lead_days", "drying_hours"):
            writer.put([*here, name], row[name], at + name, number=True)
    for at, row in rows["colours"]:
        here = ["colours", writer.id(at, row)]
        writer.put([*here, "hex"], row["hex"], at + "hex")
        for name in ("price_per_kg", "lead_days"):
            writer.put([*here, name], row[name], at + name, number=True)
    parts = []
    for at, row in rows["parts"]:
        name = writer.id(at, row)
        parts.append(name)
        writer.put(["parts", name, "barrels", 0, "resin"], row["resin"], at + "resin")
        writer.put(["parts", name, "barrels", 0, "mass_g"], row["mass_g"], at + "mass_g", number=True)
        writer.put(["products", product, "parts", name], row["per_unit"], at + "per_unit", number=True)
        writer.put(["tools", name, "cavities", name], row["cavities"], at + "cavities", number=True)
        writer.put(["tools", name, "cycle_s"], row["cycle_s"], at + "cycle_s", number=True)
        writer.put(["tools", name, "ready"], row["ready"], at + "ready")
        for n, press in enumerate(listed(row["presses"])):
            writer.put(["tools", name, "presses", n], press, at + "presses")
        made.fields[f"/tools/{name}/presses"] = at + "presses"
        made.fields[f"/tools/{name}"] = at + "cycle_s"
    writer.put(
        ["products", product, "assembly_minutes"],
        filled.head.get("assembly_minutes", ""),
        "assembly_minutes",
        number=True,
    )
    for at, row in rows["colourways"]:
        name = writer.id(at, row)
        chosen = listed(row["colours"])
        made.fields[f"/products/{product}/colourways/{name}"] = at + "colours"
        if len(chosen) not in (1, len(parts)):
            made.problems.append(
                (at + "colours", f"{len(chosen)} colours for {len(parts)} parts: give one, or one each")
            )
            continue
        for n, part in enumerate(parts):
            colour = chosen[0] if len(chosen) == 1 else chosen[n]
            writer.put(["products", product, "colourways", name, part, 0], colour, at + "colours")
    for at, row in rows["tiers"]:
        here = ["tiers", writer.id(at, row)]
        writer.put([*here, "units", product], row["units"], at + "units", number=True)
        writer.put([*here, "promised"], row["promised"], at + "promised")
    for n, (at, row) in enumerate(rows["orders"]):
        writer.put(["orders", n, "tier"], row["tier"], at + "tier")
        for unit, way in enumerate(listed(row["colourways"])):
            writer.put(["orders", n, "units", product, unit], way, at + "colourways")
        made.fields[f"/orders/{n}/units"] = at + "colourways"
        made.fields[f"/orders/{n}/units/{product}"] = at + "colourways"
        writer.put(["orders", n, "country"], row["country"], at + "country")
        writer.put(["orders", n, "count"], row["count"], at + "count", number=True)
    return made


def listed(text: str) -> list[str]:
    """`sage, cream` as two."""
    return [one.strip() for one in re.split(r"[,;]", text) if one.strip()]


def field_of(made: Made, pointer: str) -> str:
    """The field a problem's pointer came from: its own, or that of the nearest above or below; "" for the whole."""
    steps = pointer.split("/")
    while len(steps) > 1:
        where = "/".join(steps)
        if where in made.fields:
            return made.fields[where]
        below = next((name for known, name in made.fields.items() if known.startswith(where + "/")), "")
        if below:
            return below
        steps.pop()
    return ""


class _Writer:
    """Puts values into the document and remembers which field each came from."""

    def __init__(self, made: Made) -> None:
        self.made = made

    def id(self, at: str, row: Mapping[str, str]) -> str:
        return row["id"] or f"unnamed-{at.split('.')[1]}"

    def put(self, steps: list[Any], text: str, field_name: str, number: bool = False) -> None:
        """Empty texts are left out, so that what is usual holds; a number that is none is a problem of its field."""
        pointer = "/".join(["", *map(str, steps)])
        self.made.fields[pointer] = field_name
        if not text:
            return
        value: Any = text
        if number:
            try:
                value = float(text) if not re.fullmatch(r"[+-]?\d{1,15}", text) else int(text)
            except ValueError:
                self.made.problems.append(
                    (field_name, f"{text[:40]!r} is no number; write it with a point, without units")
                )
                return
        here: Any = self.made.document
        for step, following in zip(steps, [*steps[1:], None], strict=True):
            last = following is None
            if isinstance(here, list):
                while len(here) <= step:
                    here.append({} if isinstance(following, str) else [])
                if last:
                    here[step] = value
                else:
                    here = here[step]
            elif last:
                here[step] = value
            else:
                here = here.setdefault(step, [] if isinstance(following, int) else {})
