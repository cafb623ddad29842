"""Work between press and assembly in the form: its steps, benches of our own, other firms; and the form filled in."""

from collections import Counter
from collections.abc import Mapping
from typing import Any

from api.pages import shorthand
from api.pages.form_made import Made, entries, numbers
from api.pages.form_rows import WAS, Filled, rows_of
from api.pages.form_values import single_days, text, week
from api.pages.measures import clock
from api.pages.shorthand import Names
from planner.campaign.base import tidy

Thing = Mapping[str, Any]
Row = dict[str, str]
STEP_NUMBERS = ("minutes", "price", "scrap_share", "lot_parts", "rest_hours")
FIRM_NUMBERS = ("there_days", "lead_days", "back_days", "lot_price", "balance_days")


def write(made: Made, filled: Filled) -> None:
    """Steps into their parts, benches and firms by their names, colours that steps give into the products."""
    for at, row, name in entries(made, filled, "finishing_benches"):
        made.document.setdefault("finishing_benches", {}).setdefault(name, {})
        here: list[str | int] = ["finishing_benches", name]
        numbers(made, here, at, row, "people", "rate_per_hour")
        made.hours([*here, "hours"], row["hours"], at + "hours")
        made.on_dates([*here, "on_dates"], row["on_dates"], at + "on_dates")
        made.put([*here, "place"], made.names["places"].meant(row["place"]), at + "place")
    for at, row, name in entries(made, filled, "finishing_firms"):
        made.document.setdefault("finishing_firms", {}).setdefault(name, {})
        here = ["finishing_firms", name]
        for known in ("leaves", "works"):
            made.put([*here, known], shorthand.weekdays(row[known]), at + known)
        made.put([*here, "time"], clock(row["time"]), at + "time")
        made.days([*here, "closed_days"], row["closed_days"], at + "closed_days")
        numbers(made, here, at, row, *FIRM_NUMBERS)
    _steps(made, filled)
    _colours(made, filled)
    _sub_assemblies(made, filled)


def _steps(made: Made, filled: Filled) -> None:
    places = Names([*made.names["finishing_benches"].all, *made.names["finishing_firms"].all])
    number = Counter[str]()
    for at, row in rows_of(filled, "finishing"):
        part = made.meant("parts", row["part"])
        if not part:
            told = f"there is no part {row['part'][:40]!r}" if row["part"] else "say which part it is done to"
            made.problems.append((at + "part", told))
            continue
        here: list[str | int] = ["parts", part, "finishing", number[part]]
        number[part] += 1
        made.put([*here, "what"], row["what"], at + "what")
        made.put([*here, "at"], places.meant(row["at"]), at + "at")
        numbers(made, here, at, row, *STEP_NUMBERS)
        gives = made.heard(shorthand.yes_or_no, row["gives_colour"], at + "gives_colour")
        made.put([*here, "gives_colour"], gives, at + "gives_colour")


def _colours(made: Made, filled: Filled) -> None:
    products, parts, colours = made.document.get("products", {}), made.names["parts"], made.names["colours"]
    for at, row in rows_of(filled, "colourways"):
        of = made.names["products"].meant(row["product"])
        for one in shorthand.listed(row["finished_in"], known=lambda said: ":" in said):
            part, colour = shorthand.owned(one, parts, colours)
            mine = [of] if of else [name for name, thing in products.items() if part in thing.get("parts", {})]
            if not part or not mine:
                made.problems.append((at + "finished_in", "name part and colour, like lid: copper"))
            for product in mine if part else []:
                here = ["products", product, "finished_in", made.names["colourways"].meant(row["id"]), part]
                made.put([*here], colours.meant(colour), at + "finished_in")


def _sub_assemblies(made: Made, filled: Filled) -> None:
    """What is put together first, into its product: named after what goes into it where it has no name."""
    parts, pieces = made.names["parts"], made.names["pieces"]
    for at, row in rows_of(filled, "sub_assemblies"):
        product = made.meant("products", row["product"])
        if not product:
            told = (
                f"there is no product {row['product'][:40]!r}" if row["product"] else "say which product it goes into"
            )
            made.problems.append((at + "product", told))
            continue
        named = shorthand.listed(row["takes"], known=lambda said: parts.find(said) or pieces.find(said))
        name = tidy(row["id"]) or " and ".join(named)
        here: list[str | int] = ["products", product, "sub_assemblies", name]
        made.put([*here, "at"], made.names["finishing_benches"].meant(row["at"]), at + "at")
        strange = [one for one in named if parts.find(one) is None and pieces.find(one) is None]
        if strange or not named:
            told = f"there is no part or bought-in piece {strange[0][:40]!r}" if strange else "say what goes into it"
            made.problems.append((at + "takes", told))
            continue
        into = [found for one in named if (found := parts.find(one)) is not None]
        made.put([*here, "parts"], into, at + "takes")
        made.put([*here, "pieces"], [pieces.meant(one) for one in named if parts.find(one) is None], at + "takes")
        numbers(made, here, at, row, "minutes", "rest_hours")
        made.put([*here, "in_hand"], made.counts("colourways", row["in_hand"], at + "in_hand"), at + "in_hand")


def sub_assemblies_in(document: Thing) -> list[Row]:
    """What is put together first, as it would be typed."""
    ways = Names(
        way for product in (document.get("products") or {}).values() for way in product.get("colourways") or {}
    )
    return [
        {"id": name, "product": product, "at": text(sub.get("at"))}
        | {known: text(sub.get(known)) for known in ("minutes", "rest_hours")}
        | {"takes": ", ".join([*(sub.get("parts") or []), *(sub.get("pieces") or [])])}
        | {"in_hand": shorthand.said_counts(sub.get("in_hand") or {}, ways)}
        for product, made in (document.get("products") or {}).items()
        for name, sub in (made.get("sub_assemblies") or {}).items()
    ]


def steps_in(document: Thing) -> list[Row]:
    """The steps as they would be typed, part by part."""
    return [
        {"part": part, "what": text(step.get("what")), "at": text(step.get("at"))}
        | {known: text(step.get(known)) for known in (*STEP_NUMBERS, "gives_colour")}
        for part, thing in (document.get("parts") or {}).items()
        for step in thing.get("finishing") or []
    ]


def benches_in(document: Thing) -> list[Row]:
    """Benches of our own as they would be typed."""
    return [
        {"id": name, WAS: name, "hours": week(bench.get("hours")), "on_dates": single_days(bench.get("on_dates"))}
        | {known: text(bench.get(known)) for known in ("people", "rate_per_hour", "place")}
        for name, bench in (document.get("finishing_benches") or {}).items()
    ]


def firms_in(document: Thing) -> list[Row]:
    """Other firms as they would be typed."""
    return [
        {"id": name, WAS: name, "time": text(firm.get("time"))}
        | {known: ", ".join(map(text, firm.get(known) or [])) for known in ("leaves", "works", "closed_days")}
        | {known: text(firm.get(known)) for known in FIRM_NUMBERS}
        for name, firm in (document.get("finishing_firms") or {}).items()
    ]


def colours_in(product: Thing, colourway: str) -> str:
    """The colours that finishing gives a product's colourway, as they would be typed."""
    given = (product.get("finished_in") or {}).get(colourway) or {}
    return ", ".join(f"{part}: {colour}" for part, colour in given.items())
