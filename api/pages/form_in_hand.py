"""What is in hand, begun or on its way when a plan begins, in the form; and the form filled in."""

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from api.pages import shorthand
from api.pages.form_made import Made
from api.pages.form_prices import entries_again
from api.pages.form_rows import Filled
from api.pages.form_values import text
from api.pages.measures import day, figure, moment
from api.pages.shorthand import Names

Thing = Mapping[str, Any]
Row = dict[str, str]
UNITS = ("assembled", "spare_units")
_DUE = re.compile(r"(?P<amount>.+?)\s+(?:on|am)\s+(?P<day>.+)", re.IGNORECASE)
_SHOTS = re.compile(r"(?P<colours>.*?)(?:\s+[x×]\s?(?P<shots>\d{1,9}))?", re.IGNORECASE)


def write(made: Made, filled: Filled) -> None:
    """Deliveries into what is bought, parts and units in hand, tools and runs into their presses."""
    for section in ("resins", "colours"):
        for at, row, name in entries_again(made, filled, section):
            due = made.heard(_deliveries, row["arrivals"], at + "arrivals")
            made.put([section, name, "arrivals"], due, at + "arrivals")
    for at, row, name in entries_again(made, filled, "pieces"):
        first = 1 if row["arrives"] or row["amount"] else 0
        for n, delivery in enumerate(made.heard(_deliveries, row["arrivals"], at + "arrivals") or [], first):
            made.put(["pieces", name, "arrivals", n], delivery, at + "arrivals")
    for at, row, name in entries_again(made, filled, "parts"):
        in_hand = _stock(made, row["stock"], at + "stock")
        in_hand += [one | {"finished": False} for one in _stock(made, row["unfinished"], at + "unfinished")]
        made.put(["parts", name, "stock"], in_hand, at + ("stock" if row["stock"] else "unfinished"))
    for at, row, name in entries_again(made, filled, "products"):
        for known in UNITS:
            made.put(["products", name, known], made.counts("colourways", row[known], at + known), at + known)
    tools = Names(made.document.get("tools", {}))
    for at, row, name in entries_again(made, filled, "presses"):
        made.put(["presses", name, "tool"], tools.meant(row["tool"]), at + "tool")
        begun = made.heard(_runs(tools, made.names["colours"]), row["begins_with"], at + "begins_with")
        made.put(["presses", name, "begins_with"], begun, at + "begins_with")


def _deliveries(said: str) -> list[dict[str, Any]]:
    """`60 on 2027-01-18; 40 on 2027-02-01`. Raises ValueError."""
    found = []
    for one in shorthand.listed(said, ";"):
        due = _DUE.fullmatch(one)
        if due is None:
            raise ValueError(f"{one[:40]!r} is no delivery; write how much comes on which day: 60 on 2027-01-18")
        kg = figure(due["amount"], "stock_kg", "EUR")
        on = moment(due["day"]) if ":" in due["day"] else day(due["day"])
        found.append({"on": on, "amount": int(kg) if kg.is_integer() else kg})
    return found


def _stock(made: Made, said: str, field_name: str) -> list[dict[str, Any]]:
    """`sage x250, sage + charcoal x40`: a colour for each barrel."""
    colours = made.names["colours"]
    counts = made.counts("colours", said, field_name) or {}
    return [
        {"colours": [colours.meant(one) for one in shorthand.listed(name, "+", colours.find)], "count": count}
        for name, count in counts.items()
    ]


def _runs(tools: Names, colours: Names) -> Callable[[str], list[dict[str, Any]]]:
    """Hears `shell: sage x300; tray: cream`. What it hears raises ValueError."""

    def runs(said: str) -> list[dict[str, Any]]:
        found = []
        for one in shorthand.listed(said, ";"):
            tool, rest = shorthand.owned(one, tools, Names())
            melt = _SHOTS.fullmatch(rest)
            if not tool or melt is None or not melt["colours"]:
                raise ValueError(
                    f"{one[:40]!r} is no run; write tool and colour, like shell: sage, or shell: sage x300"
                )
            named = [colours.meant(name) for name in shorthand.listed(melt["colours"], "+", colours.find)]
            found.append({"tool": tool, "colours": named} | ({"shots": int(melt["shots"])} if melt["shots"] else {}))
        return found

    return runs


def deliveries_in(bought: Thing, first: int = 0) -> str:
    """Deliveries of what is bought as they would be typed, from the first one named here."""
    due: Sequence[Thing] = bought.get("arrivals") or []
    return "; ".join(f"{text(one.get('amount'))} on {text(one.get('on'))}" for one in due[first:])


def parts_in_hand(part: Thing, colours: Names) -> Row:
    """Parts in hand as they would be typed; nothing where a row cannot say them in the document's order."""
    stock: Sequence[Thing] = part.get("stock") or []
    named = [" + ".join(one.get("colours") or []) for one in stock]
    kinds = [bool(one.get("finished", True)) for one in stock]
    if kinds != sorted(kinds, reverse=True) or len({*zip(named, kinds, strict=True)}) < len(stock):
        return {"stock": "", "unfinished": ""}
    said = {
        done: {name: one.get("count", 0) for name, one, kind in zip(named, stock, kinds, strict=True) if kind == done}
        for done in (True, False)
    }
    known = Names([*colours.all, *named])
    return {"stock": shorthand.said_counts(said[True], known), "unfinished": shorthand.said_counts(said[False], known)}


def runs_in(press: Thing) -> str:
    """Runs begun on a press as they would be typed."""
    return "; ".join(
        f"{run.get('tool')}: {' + '.join(run.get('colours') or [])}" + (f" x{run['shots']}" if run.get("shots") else "")
        for run in press.get("begins_with") or []
    )


def units_in_hand(product: Thing) -> Row:
    """Units in hand and spare ones as they would be typed."""
    ways = Names(product.get("colourways") or {})
    return {known: shorthand.said_counts(product.get(known) or {}, ways) for known in UNITS}
