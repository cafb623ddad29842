"""The form filled in from a campaign document: what a maker would have typed. What it cannot say stays in the document.

Each row remembers under which name the document has it (`was`), so that a new name is a new name and not another thing.
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta
from functools import partial
from typing import Any

from api.languages import gettext
from api.pages import (
    form_carriers,
    form_finishing,
    form_in_hand,
    form_moulds,
    form_packing,
    form_places,
    form_prices,
    form_toolmakers,
    priced,
)
from api.pages.form_document import CLEAN, OF_THE_FLOOR, UNKNOWN, WHEN_LATE, WHENEVER_CLOSED
from api.pages.form_fields import BY_NAME, HEAD, SECTIONS
from api.pages.form_rows import MOST_ROWS, WAS, Filled, blank
from api.pages.form_settled import ILL, KINDS, WELL
from api.pages.form_values import single_days, text, week
from api.pages.measures import said_moment
from api.pages.shorthand import Names, said_counts

Thing = Mapping[str, Any]
Row = dict[str, str]
Say = Callable[[Thing], Row]
_MADE_OF = {"parts": ("parts", "parts"), "pieces": ("pieces", "pieces")}
_CAVITIES = {"makes": ("cavities", "parts"), "blocked": ("blocked_cavities", "parts")}
_HOLDS = {"units": ("units", "products"), "pieces": ("pieces", "pieces")}
"""Field of the form -> that of the document which counts things, and of which section they are."""


def filled_from(document: Thing) -> Filled:
    """The form for a campaign document. Orders are shown only where they fit it; else its row stays blank."""
    head = {ask.name: text(document.get(ask.name)) for ask in HEAD}
    head["start"] = said_moment(head["start"])
    rows = {
        "presses": _rows(document, "presses", _press),
        "resins": _rows(document, "resins", _weighed(_plain("resins", neither="neither_acetal_nor_halogenated"))),
        "colours": _rows(document, "colours", _weighed(_colour)),
        "parts": _rows(document, "parts", partial(_part, Names(document.get("colours") or {}))),
        "tools": _rows(document, "tools", _counting(document, _tool, **_CAVITIES)),
        "others": _others(document),
        "steps": _steps(document),
        "unsure": _unsure(document),
        "settled": _settled(document),
        "pieces": _rows(document, "pieces", _piece),
        "products": _rows(document, "products", _counting(document, _product, **_MADE_OF)),
        "colourways": _colourways(document),
        "tiers": _rows(document, "tiers", _units(_counting(document, _tier, **_HOLDS))),
        "moulded_over": form_moulds.over_in(document),
        "made_by": form_moulds.made_by_in(document),
        "finishing": form_finishing.steps_in(document)[:MOST_ROWS],
        "sub_assemblies": form_finishing.sub_assemblies_in(document)[:MOST_ROWS],
        "finishing_benches": form_finishing.benches_in(document)[:MOST_ROWS],
        "finishing_firms": form_finishing.firms_in(document)[:MOST_ROWS],
        "places": form_places.places_in(document)[:MOST_ROWS],
        "charges": form_prices.charges_in(document),
        "suppliers": form_prices.suppliers_in(document),
        "carriers": form_carriers.carriers_in(document)[:MOST_ROWS],
        "rates": form_carriers.rates_in(document)[:MOST_ROWS],
        "toolmakers": form_toolmakers.toolmakers_in(document)[:MOST_ROWS],
        "orders": _orders(document),
        "benches": [_benches(document)],
    }
    stands = form_moulds.stands_in(document)
    for tool in rows["tools"]:
        tool["made_at"] = stands.get(tool["id"], "")
    return Filled(head, {section.name: rows[section.name] or [blank(section)] for section in SECTIONS})


def _rows(document: Thing, section: str, say: Say) -> list[Row]:
    things = document.get(section) or {}
    empty = dict.fromkeys((ask.name for ask in BY_NAME[section].asks), "")
    return [empty | say(thing) | {"id": name, WAS: name} for name, thing in list(things.items())[:MOST_ROWS]]


def _plain(section: str, **other: str) -> Say:
    """Says the fields that are called in the document as in the form, or as `other` says."""

    def say(thing: Thing) -> Row:
        return {ask.name: text(thing.get(other.get(ask.name, ask.name))) for ask in BY_NAME[section].asks}

    return say


def _weighed(say: Say) -> Say:
    """Says also price breaks and deliveries of what is bought by weight."""
    return lambda thing: (
        say(thing)
        | {"price_breaks": form_prices.weight_breaks_in(thing), "arrivals": form_in_hand.deliveries_in(thing)}
    )


def _counting(document: Thing, say: Say, **counted: tuple[str, str]) -> Say:
    """Says also how many of what: field of the form -> the document's, and whose section."""
    names = {field: Names(document.get(section) or {}) for field, (_, section) in counted.items()}
    return lambda thing: (
        say(thing) | {field: said_counts(thing.get(own) or {}, names[field]) for field, (own, _) in counted.items()}
    )


def _colour(colour: Thing) -> Row:
    seen = [text(colour.get(name)) for name in ("hex", "reference")]
    return _plain("colours")(colour) | {"hex": ", ".join(filter(None, seen))}


def _press(press: Thing) -> Row:
    row = _plain("presses")(press)
    barrels = press.get("barrels") or []
    for barrel, suffix in zip(barrels, ("", "2"), strict=False):
        row |= {
            f"holdup{suffix}_kg": text(barrel.get("holdup_kg")),
            f"shot_max{suffix}_g": text(barrel.get("shot_max_g")),
            f"plasticising{suffix}_kg_h": text(barrel.get("plasticising_kg_h")),
        }
    held = [_held(barrel) for barrel in barrels[:2]]
    lights_out = text((press.get("lights_out") or {}).get("hours"))
    if any(held):
        held = [one or UNKNOWN for one in held]
    row |= {"holds": " + ".join(held) if any(held) else "", "hours": week(press.get("hours"))}
    row |= {"on_dates": single_days(press.get("on_dates")), "begins_with": form_in_hand.runs_in(press)}
    return row | {"lights_out": lights_out}


def _held(barrel: Thing) -> str:
    return CLEAN if barrel.get("clean") else UNKNOWN if barrel.get("unknown") else text(barrel.get("holds"))


def _others(document: Thing) -> list[Row]:
    rows = []
    for name, press in (document.get("presses") or {}).items():
        for one in press.get("others") or []:
            when = [week(one.get("hours"))] + [f"{day} {spans}" for day, spans in (one.get("on_dates") or {}).items()]
            when += [WHENEVER_CLOSED] if one.get("whenever_closed") else []
            rows.append(
                {
                    "press": name,
                    "when": "; ".join(filter(None, when)),
                    "leaves": " + ".join(one.get("leaves") or []),
                    "moulds": ", ".join(one.get("moulds") or []),
                }
            )
    return rows[:MOST_ROWS]


def _product(product: Thing) -> Row:
    return _plain("products")(product) | form_in_hand.units_in_hand(product) | form_packing.size_in(product)


def _part(colours: Names, part: Thing) -> Row:
    row = _plain("parts")(part) | form_in_hand.parts_in_hand(part, colours)
    row |= {"hidden": {"hidden": "yes", "visible": "no"}.get(part.get("surface", ""), "")}
    for barrel, suffix in zip(part.get("barrels") or [], ("", "2"), strict=False):
        row |= {f"resin{suffix}": text(barrel.get("resin")), f"mass{suffix}_g": text(barrel.get("mass_g"))}
    return row


def _tool(tool: Thing) -> Row:
    melts = " + ".join(tool.get("hot_runner_holds") or [])
    held = [melts] if melts else list(tool.get("hot_runner_has_held") or [])
    held = [CLEAN] if tool.get("hot_runner_clean") else held
    lists = {name: ", ".join(map(text, tool.get(name) or [])) for name in ("presses", "runner_g", "hot_runner_kg")}
    return _plain("tools")(tool) | lists | {"hot_runner_held": ", ".join(held)}


def _steps(document: Thing) -> list[Row]:
    rows = []
    for tool, made in (document.get("tools") or {}).items():
        for name, step in (made.get("until_ready") or {}).items():
            after = step.get("after")
            row = {"what": text(step.get("what")) or name, WAS: name, "tool": tool, "days": _days(step.get("days"))}
            row |= {known: text(step.get(known)) for known in ("by", "done", "not_before")}
            rows.append(row | {"after": ", ".join(after) if after else ""})
    return rows[:MOST_ROWS]


def _unsure(document: Thing) -> list[Row]:
    rows = []
    said = (document.get("uncertainty") or {}).get("tools") or {}
    for tool, doubt in said.items():
        trial = doubt.get("first_trial") or {}
        row = {
            "tool": tool,
            "ready": _between((document.get("tools") or {}).get(tool) or {}, doubt.get("ready_days")),
            "works": _in_ten(trial.get("success_chance")),
            "rework": _days(trial.get("rework_days")) if _three(trial.get("rework_days")) else "",
            "on": text(trial.get("on")),
            "fails": text(trial.get("most_failures")),
        }
        row |= {known: text(trial.get(known)) for known in ("approval_days", "cost", "setter_hours", "press", "hours")}
        row |= {"melts": " + ".join(trial.get("melts") or []), "kg": " + ".join(map(text, trial.get("kg") or []))}
        if any(value for name, value in row.items() if name != "tool"):
            rows.append(row)
    return rows[:MOST_ROWS]


def _settled(document: Thing) -> list[Row]:
    """A row for each way in which something may go wrong; a matter of which a row cannot say all is left out."""
    rows: list[Row] = []
    for name, matter in ((document.get("uncertainty") or {}).get("settled") or {}).items():
        first, *others = (matter.get("outcomes") or {}).items()
        own = [_going_wrong(document, outcome) for _, outcome in others]
        if any(row is None for row in own):
            continue
        for (ill, outcome), row in zip(others, own, strict=True):
            words = {"what": name, "on": text(matter.get("on")), "chance": _in_ten(outcome.get("chance"))}
            words |= {"well": "" if first[0] == WELL else first[0], "ill": "" if ill == ILL else ill}
            rows.append(words | (row or {}) | {"cost": text(outcome.get("cost"))})
    return rows[:MOST_ROWS]


def _going_wrong(document: Thing, outcome: Thing) -> Row | None:
    """What comes later, by how many days, and what takes a colour's place; None: that is more than a row says."""
    late = [(kind, name, days) for kind in KINDS for name, days in (outcome.get(kind) or {}).items()]
    recipes = list((outcome.get("recipes") or {}).items())
    days = {_days(one) if _three(one) else "?" for _, _, one in late}
    said = {_recipe(one) for _, one in recipes}
    names = [(kind, name) for kind, name, _ in late] or [("colours", name) for name, _ in recipes]
    both = bool(late and recipes) and set(names) != {("colours", name) for name, _ in recipes}
    if len(days) > 1 or len(said) > 1 or "?" in days | said or both:
        return None
    moves = "; ".join(_move(one) for one in outcome.get("moves") or [])
    called = [name if _kinds_of(document, name) == [kind] else f"{kind[:-1]} {name}" for kind, name in names]
    return {"late": ", ".join(called), "days": "".join(days), "recipe": "".join(said), "moves": moves}


def _move(move: Thing) -> str:
    """`400 pot from cream to sage`."""
    within = f" in {move['tier']}" if move.get("tier") else ""
    written = gettext("%(orders)s %(product)s from %(colourway)s to %(becomes)s")
    return str(written % (dict(move) | {"product": f"{move.get('product')}{within}"}))


def _kinds_of(document: Thing, name: str) -> list[str]:
    return [kind for kind in KINDS if name in (document.get(kind) or {})]


def _recipe(recipe: Thing) -> str:
    """`3 in 100 at 14`, or `as sage`; "?" where it also says how it looks."""
    if recipe.get("colour"):
        return f"as {recipe['colour']}"
    if recipe.get("hex"):
        return "?"
    share, price = recipe.get("let_down_percent"), recipe.get("price_per_kg")
    words = [f"{text(share)} in 100"] if share is not None else []
    return " ".join(words + ([f"at {text(price)}"] if price is not None else []))


def _three(days: Any) -> bool:
    """Whether it is three points of the usual shape, which the form can say."""
    return isinstance(days, dict) and "early" in days and days.get("shape", "beta-pert") == "beta-pert"


def _in_ten(chance: Any) -> str:
    if not isinstance(chance, (int, float)):
        return ""
    tenths = round(10 * chance, 9)
    return f"{int(tenths)} in 10" if float(tenths).is_integer() else text(float(chance))


def _between(tool: Thing, days: Any) -> str:
    """Two days around the one on which a tool is to be ready; nothing where they are no whole days around it."""
    ready = str(tool.get("ready") or "")[:10]
    if not ready or not _three(days) or days.get("likely") != 0:
        return ""
    ends = (days["early"], days["late"])
    if any(float(end) != int(end) for end in ends):
        return ""
    try:
        return " to ".join((date.fromisoformat(ready) + timedelta(days=int(end))).isoformat() for end in ends)
    except ValueError:
        return ""


def _days(days: Any) -> str:
    if isinstance(days, dict):
        return "-".join(text(days.get(point)) for point in ("early", "likely", "late"))
    return text(days)


def _piece(piece: Thing) -> Row:
    row = _plain("pieces")(piece) | {
        "price_breaks": form_prices.breaks_in(piece),
        "comes_in": priced.said_parts(
            ((one.get("share"), one.get("after_days")) for one in piece.get("comes_in") or []), text
        ),
    }
    row |= form_packing.size_in(piece) | form_packing.carton_in(piece)
    row |= {"arrivals": form_in_hand.deliveries_in(piece, first=1)}
    arrivals: Sequence[Thing] = piece.get("arrivals") or []
    if arrivals:
        row |= {"arrives": text(arrivals[0].get("on")), "amount": text(arrivals[0].get("amount"))}
    return row


def _tier(tier: Thing) -> Row:
    cartons = ", ".join(tier.get("cartons") or [])
    return _plain("tiers")(tier) | {"promised_in": form_carriers.promised_in(tier), "cartons": cartons}


def _units(say: Say) -> Say:
    """Says of a tier that holds nothing by itself that it does: 0."""
    return lambda tier: say(tier) | ({} if tier.get("units") else {"units": "0"})


def _colourways(document: Thing) -> list[Row]:
    rows = []
    products: Thing = document.get("products") or {}
    for product, made in products.items():
        for name, parts in (made.get("colourways") or {}).items():
            said = ", ".join(f"{part}: {' + '.join(colours)}" for part, colours in parts.items())
            row = {"id": name, "colours": said, "product": product if len(products) > 1 else ""}
            rows.append(row | {"finished_in": form_finishing.colours_in(made, name)})
    return rows[:MOST_ROWS]


def _orders(document: Thing) -> list[Row]:
    orders: Sequence[Thing] = document.get("orders") or []
    if len(orders) > MOST_ROWS:
        return []

    def ways_of(units: Thing | None) -> str:
        return "; ".join(f"{product}: {', '.join(ways)}" for product, ways in (units or {}).items())

    pieces = Names(document.get("pieces") or {})

    return [
        {
            "tier": text(line.get("tier")),
            "colourways": ways_of(line.get("units")),
            "country": text(line.get("country")),
            "count": text(line.get("count")),
            "opens": text(line.get("opens")),
            "extra_units": ways_of(line.get("extra_units")),
            "extra_pieces": said_counts(line.get("extra_pieces") or {}, pieces),
        }
        for line in orders
    ]


def _benches(document: Thing) -> Row:
    def of(section: str) -> Thing:
        found: Thing = document.get(section) or {}
        return found

    row = dict.fromkeys((ask.name for ask in BY_NAME["benches"].asks), "")
    for bench in ("assembly", "packing"):
        row |= {f"{bench}_people": text(of(bench).get("people")), f"{bench}_hours": week(of(bench).get("hours"))}
        row |= {f"{bench}_place": text(of(bench).get("place"))}
        row |= {f"{bench}_on_dates": single_days(of(bench).get("on_dates"))}
    assembly, packing = (of(bench).get("rate_per_hour") for bench in ("assembly", "packing"))
    row |= {"rate_per_hour": text(assembly), "packing_rate": "" if packing == assembly else text(packing or 0)}
    row |= {known: text(of("carrier").get(known)) for known in (*form_carriers.LIMITS, "whole_cm")}
    for field, known in (("pick_ups_on", "on_dates"), ("pick_ups_not_on", "not_on")):
        row |= {field: ", ".join(map(text, of("pick_ups").get(known) or []))}
    row |= {"scrap_known": {"known": "yes", "unsure": "no"}.get(text(document.get("scrap_taken")), "")}
    row |= {"attended": week((of("floor").get("attended") or {}).get("hours"))}
    row |= {"batch_parcels": text(of("packing").get("batch_parcels")), "parcels": text(of("pick_ups").get("parcels"))}
    row |= {"days": ", ".join(of("pick_ups").get("days") or []), "time": text(of("pick_ups").get("time"))}
    row |= {"closed_days": ", ".join(map(text, document.get("closed_days") or []))}
    regions = (f"{region}: {', '.join(countries)}" for region, countries in of("regions").items())
    row |= {"regions": "; ".join(regions)}
    late = of("planning").get("when_late")
    row |= {"when_late": next((said for said, name in WHEN_LATE.items() if name == late), "")}
    return row | {name: text(of("floor").get(name)) for name in OF_THE_FLOOR}
