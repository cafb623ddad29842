"""What is settled on a day, in the maker's words: a row for each way in which it may go wrong."""

import re
from functools import partial
from typing import Any

from api.pages import shorthand
from api.pages.form_made import Made
from api.pages.form_rows import Filled, rows_of
from api.pages.measures import day, figure
from planner.campaign.base import tidy
from planner.campaign.pointers import pointer

WELL, ILL = "it goes well", "it goes wrong"
"""How an outcome is called where nobody says."""

KINDS = ("colours", "pieces", "resins", "tools")
MOVES = tuple(
    re.compile(
        rf"(?P<orders>\d[\d.,]*)\s+(?:{orders}\s+)?(?P<product>.*?)\s*\b{was}\s+(?P<colourway>.+?)\s+{becomes}\s+"
        r"(?P<becomes>.+)",
        re.IGNORECASE,
    )
    for orders, was, becomes in (("orders? of", "from", "to"), ("Bestellung(?:en)? von", "von", "(?:zu|nach)"))
)
"""How it is written which orders change colourway, in the languages of the pages."""
RECIPE = re.compile(r"(?:(?P<share>[\d.,]+)\s*(?:%|in 100))?\s*(?:at\s+(?P<price>.+))?")


def write(made: Made, filled: Filled) -> None:
    """The rows of what is settled; those of one matter stand in one place of the document, what is counted on first."""
    for at, row in rows_of(filled, "settled"):
        name = tidy(row["what"])
        if not name:
            made.problems.append((at + "what", "say what is open, e.g. approval of sage"))
            continue
        here: list[str | int] = ["uncertainty", "settled", name]
        known: dict[str, Any] = made.document.get("uncertainty", {}).get("settled", {}).get(name, {})
        chance = made.heard(shorthand.chance, row["chance"], at + "chance")
        if chance is None:
            if not row["chance"]:
                made.problems.append((at + "chance", "say how likely it goes wrong, e.g. 2 in 10"))
            continue
        if not known:
            made.fields[pointer(*here)] = at + "what"
            made.day([*here, "on"], row["on"], at + "on")
            if not row["on"]:
                made.problems.append((at + "on", "say on which day it is settled, e.g. 2027-01-15"))
            made.put([*here, "outcomes", tidy(row["well"]) or WELL, "chance"], 1.0, at + "chance")
        elif row["on"] and made.heard(day, row["on"], at + "on") != known.get("on"):
            made.problems.append((at + "on", f"{name[:40]} is settled on one day; say it in its first row"))
        outcomes = made.document["uncertainty"]["settled"][name]["outcomes"]
        first = next(iter(outcomes.values()))
        first["chance"] = round(first["chance"] - chance, 9)
        if first["chance"] <= 0:
            made.problems.append((at + "chance", f"{name[:40]} must go well sometimes; these chances leave none"))
        ill = tidy(row["ill"]) or ILL
        if ill in outcomes:
            made.problems.append((at + "ill", f"{ill[:40]!r} stands here twice; say in words how it goes wrong"))
            continue
        _outcome(made, [*here, "outcomes", ill], at, row, chance)


def _outcome(made: Made, here: list[str | int], at: str, row: dict[str, str], chance: float) -> None:
    """One way to go wrong: what comes later, or what takes a colour's place."""
    made.fields[pointer(*here)] = at + "ill"
    made.put([*here, "chance"], chance, at + "chance")
    made.number([*here, "cost"], row["cost"], at + "cost")
    days = made.heard(shorthand.three_points, row["days"], at + "days") if row["days"] else None
    points = dict.fromkeys(("early", "likely", "late"), days) if isinstance(days, float) else days
    recipe = made.heard(partial(_recipe, made), row["recipe"], at + "recipe") if row["recipe"] else None
    named = shorthand.listed(row["late"], known=lambda one: _of(made, one) is not None)
    moves = made.heard(partial(_moves, made), row["moves"], at + "moves") if row["moves"] else None
    made.put([*here, "moves"], moves, at + "moves")
    if not named and (row["days"] or row["recipe"]):
        made.problems.append((at + "late", "say what comes later, or which colour has another recipe"))
    if named and not (row["days"] or row["recipe"]):
        made.problems.append((at + "days", "say by how many days it comes later, e.g. 7-10"))
    for one in named:
        of = _of(made, one)
        if of is None:
            made.problems.append((at + "late", f"there is no colour, piece, resin or tool {one[:40]!r}"))
            continue
        kind, name = of
        made.put([*here, kind, name], points, at + "days")
        if recipe is not None and kind != "colours":
            made.problems.append((at + "recipe", f"{name[:40]} is no colour; only a colour has a recipe"))
        elif recipe is not None:
            made.put([*here, "recipes", name], recipe, at + "recipe")


def _of(made: Made, text: str) -> tuple[str, str] | None:
    """The section and the name of what a text means: `sage`, or `colour sage` where a piece is called so too."""
    word, _, rest = text.strip().partition(" ")
    for kind in KINDS:
        if word.casefold() == kind[:-1] and (name := made.names[kind].find(rest)):
            return kind, name
    for kind in KINDS:
        names = shorthand.Names(made.document.get("tools", {})) if kind == "tools" else made.names[kind]
        if name := names.find(text):
            return kind, name
    return None


def _recipe(made: Made, text: str) -> dict[str, Any]:
    """`3 in 100 at 14`, `3 %` or `at 14`; `as sage`, where it becomes another colour. Raises ValueError."""
    word, _, rest = text.strip().partition(" ")
    if word.casefold() == "as":
        colour = made.names["colours"].find(rest)
        if colour is None:
            raise ValueError(f"there is no colour {rest.strip()[:40]!r}")
        return {"colour": colour}
    found = RECIPE.fullmatch(text.strip())
    if not found or not (found["share"] or found["price"]):
        raise ValueError(f"{text[:40]!r} is no recipe; write 3 in 100 at 14, or 3 %, or at 14, or as sage")
    said = {"let_down_percent": found["share"], "price_per_kg": found["price"]}
    return {name: figure(value, name, "EUR") for name, value in said.items() if value}


def _moves(made: Made, text: str) -> list[dict[str, Any]]:
    """`400 pot from cream to sage; 50 pot in pair from cream to coral`. Raises ValueError."""
    return [_moved(made, one) for one in text.split(";") if one.strip()]


def _moved(made: Made, text: str) -> dict[str, Any]:
    found = next(filter(None, (way.fullmatch(text.strip()) for way in MOVES)), None)
    if not found:
        raise ValueError(f"{text.strip()[:40]!r} says not what moves; write 400 pot from cream to sage")
    products = made.document.get("products", {})
    called, tier = found["product"].strip(), ""
    product = made.meant("products", called)
    if not product and " in " in called:  # of one tier
        called, _, within = called.rpartition(" in ")
        product, tier = made.meant("products", called.strip()), made.meant("tiers", within.removeprefix("tier "))
        if not tier:
            raise ValueError(f"there is no tier {within.strip()[:40]!r}")
    if not product:
        raise ValueError(f"there is no product {called[:40]!r}" if called else "say of which product")
    colourways = shorthand.Names(products[product].get("colourways", {}))
    said: dict[str, Any] = {"product": product}
    for field in ("colourway", "becomes"):
        one = colourways.find(found[field])
        if one is None:
            raise ValueError(f"{product[:40]} comes in no {found[field].strip()[:40]!r}")
        said[field] = one
    said["orders"] = round(figure(found["orders"], "orders", "EUR"))
    return said | ({"tier": tier} if tier else {})
