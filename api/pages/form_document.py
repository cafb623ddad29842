"""The campaign document that the form describes, and which field each of its values came from."""

import re
from collections import Counter
from collections.abc import Callable
from datetime import date
from typing import Any

from api.pages import (
    form_carriers,
    form_finishing,
    form_in_hand,
    form_moulds,
    form_packing,
    form_places,
    form_prices,
    form_settled,
    form_toolmakers,
    shorthand,
)
from api.pages.form_made import Made, entries, name_of, numbers
from api.pages.form_rows import WAS, Filled, rows_of
from api.pages.measures import clock, moment
from api.pages.measures import spans as spans_of
from api.pages.shorthand import Names
from planner.campaign.base import tidy
from planner.campaign.pointers import pointer

CLEAN, UNKNOWN, WHENEVER_CLOSED = "clean", "unknown", "whenever closed"
"""What a maker writes of a barrel or hot runner that has nothing in it, or nobody knows what; and of others who have a
press whenever it is not open for us."""


OF_THE_FLOOR = (
    "setters", "setter_rate_per_hour", "operators", "operator_rate_per_hour", "price_per_kwh", "disposal_per_kg",
)  # fmt: skip
WHEN_LATE = {"wait": "as planned", "next run": "first ready", "plan again": "plan again"}
"""What a maker writes of a tool that is late -> the document's word."""

PAID = ("deposit_share", "balance_days")
"""How what is bought is paid."""


def make(filled: Filled) -> Made:
    """The campaign document; values that cannot be read are told by field."""
    made = Made(names=names_of(filled))
    for name, text in filled.head.items():
        made.put([name], made.heard(moment, text, name) if name == "start" else text, name)
    workshop = (_presses, _materials, _parts, _tools, _others, _steps, doubts, _pieces)
    for write in (*workshop, _products, _colourways, _tiers, _orders, _benches):
        write(made, filled)
    more = (
        form_places, form_moulds, form_finishing, form_settled, form_prices, form_carriers, form_in_hand,
        form_packing, form_toolmakers,
    )  # fmt: skip
    for section in more:
        section.write(made, filled)
    return made


def names_of(filled: Filled) -> dict[str, Names]:
    """section -> what its rows are called, and were when the form was filled: others still mention them so."""
    return {
        section: Names(row.get(name, "") for name in ("id", WAS) for row in rows)
        for section, rows in filled.rows.items()
    }


def _presses(made: Made, filled: Filled) -> None:
    for at, row, name in entries(made, filled, "presses"):
        here: list[str | int] = ["presses", name]
        for barrel, suffix in enumerate(("", "2")):
            if barrel and not (row["holdup2_kg"] or row["shot_max2_g"] or row["plasticising2_kg_h"]):
                break
            for name in ("holdup{}_kg", "shot_max{}_g", "plasticising{}_kg_h"):
                field = name.format(suffix)
                made.number([*here, "barrels", barrel, name.format("")], row[field], at + field)
        for barrel, held in enumerate(_held(made, row["holds"])):
            where = [*here, "barrels", barrel]
            if barrel < 2 and held.casefold() == CLEAN:
                made.put([*where, "clean"], True, at + "holds")
                made.fields[pointer(*where, "holds")] = at + "holds"
            elif barrel < 2 and held.casefold() == UNKNOWN:
                made.put([*where, "unknown"], True, at + "holds")
                made.fields[pointer(*where, "holds")] = at + "holds"
            elif barrel < 2:
                made.put([*where, "holds"], held, at + "holds")
        numbers(made, here, at, row, "clamp_kn", "rate_per_hour", "efficiency", "draws_kw", "restart_minutes")
        made.put([*here, "place"], made.names["places"].meant(row["place"]), at + "place")
        made.number([*here, "lights_out", "hours"], row["lights_out"], at + "lights_out")
        made.hours([*here, "hours"], row["hours"], at + "hours")
        made.on_dates([*here, "on_dates"], row["on_dates"], at + "on_dates")


def _held(made: Made, text: str) -> list[str]:
    """What each barrel holds, as typed: `PP/Cream + clean`."""
    resins, colours = made.names["resins"], made.names["colours"]

    def known(one: str) -> bool:
        resin, _, colour = one.rpartition("/")
        return bool(resins.find(resin) and colours.find(colour)) or one.casefold() in (CLEAN, UNKNOWN)

    return [shorthand.melt(one, resins, colours) for one in shorthand.listed(text, "+", known)]


def _materials(made: Made, filled: Filled) -> None:
    for at, row, name in entries(made, filled, "resins"):
        here: list[str | int] = ["resins", name]
        made.put([*here, "family"], row["family"], at + "family")
        for known, told in (("halogenated_flame_retardant",) * 2, ("neither_acetal_nor_halogenated", "neither")):
            made.put([*here, known], made.heard(shorthand.yes_or_no, row[told], at + told), at + told)
        made.put([*here, "natural_colour"], made.names["colours"].meant(row["natural_colour"]), at + "natural_colour")
        made.put([*here, "dryer"], tidy(row["dryer"]), at + "dryer")
        numbers(made, here, at, row, "price_per_kg", "lead_days", "drying_hours", "drying_c", "dryer_kg", "stock_kg",
                 "min_order_kg", "regrind_share", *PAID)  # fmt: skip
    for at, row, name in entries(made, filled, "colours"):
        here = ["colours", name]
        look, reference = shorthand.look(row["hex"])
        made.put([*here, "hex"], look, at + "hex")
        made.put([*here, "reference"], reference, at + "hex")
        made.put([*here, "finish"], row["finish"].strip().casefold(), at + "finish")
        if not look:
            made.fields[pointer(*here)] = at + "hex"  # what is wanting is how it looks
        numbers(made, here, at, row, "price_per_kg", "lead_days", "let_down_percent", "stock_kg", "min_order_kg", *PAID)


def _parts(made: Made, filled: Filled) -> None:
    for at, row, name in entries(made, filled, "parts"):
        here: list[str | int] = ["parts", name]
        for barrel, suffix in enumerate(("", "2")):
            if barrel and not (row["resin2"] or row["mass2_g"]):
                break
            resin = made.names["resins"].meant(row[f"resin{suffix}"])
            made.put([*here, "barrels", barrel, "resin"], resin, f"{at}resin{suffix}")
            made.number([*here, "barrels", barrel, "mass_g"], row[f"mass{suffix}_g"], f"{at}mass{suffix}_g")
        numbers(made, here, at, row, "spare_share", "rest_hours")
        hidden = made.heard(shorthand.yes_or_no, row["hidden"], at + "hidden")
        made.put([*here, "surface"], None if hidden is None else "hidden" if hidden else "visible", at + "hidden")


def _tools(made: Made, filled: Filled) -> None:
    presses, parts = made.document.get("presses", {}), made.document.get("parts", {})
    stand = []
    for at, row in rows_of(filled, "tools"):
        makes = made.counts("parts", row["makes"], at + "makes") or {}
        name = name_of(made, "tools", at + ("id" if row["id"] else "makes"), row["id"] or next(iter(makes), ""))
        here: list[str | int] = ["tools", name]
        made.put([*here, "cavities"], makes, at + "makes")
        if blocked := made.counts("parts", row["blocked"], at + "blocked"):
            made.put([*here, "blocked_cavities"], blocked, at + "blocked")
        made.put([*here, "base"], tidy(row["base"]), at + "base")
        for known in (
            "cycle_s", "clamp_kn", "scrap_share", "mount_minutes", "startup_shots", "insert_minutes", "operators",
            "smallest_lot_shots",
        ):  # fmt: skip
            made.number([*here, known], row[known], at + known)
        barrels = max((len(parts[part].get("barrels", [])) for part in makes if part in parts), default=1)
        able = [press for press, it in presses.items() if len(it.get("barrels", [])) >= barrels]
        # a tool stays at one place: unless presses are named it is our own floor
        able = [press for press in able if not presses[press].get("place")] or able
        made.put([*here, "presses"], shorthand.named(row["presses"], made.names["presses"]) or able, at + "presses")
        made.day([*here, "ready"], row["ready"], at + "ready")
        stand.append((name, row["made_at"], at + "made_at"))
        _hot_runner(made, here, row["hot_runner_held"], at + "hot_runner_held")
        for known in ("runner_g", "hot_runner_kg"):
            for barrel, mass in enumerate(shorthand.listed(row[known], ",;+")):
                made.number([*here, known, barrel], mass, at + known)
    form_moulds.stand(made, stand)


def _hot_runner(made: Made, here: list[str | int], text: str, field_name: str) -> None:
    """`pp/cream` is in it, `pp` was once, or it is clean; blank, or unknown: nobody says."""
    held = shorthand.named(text, made.names["resins"])
    if "/" in text and not all(map(made.names["resins"].find, held)):
        made.put([*here, "hot_runner_holds"], _held(made, text), field_name)
        return
    resins = [one for one in held if one.casefold() not in (CLEAN, UNKNOWN)]
    made.put([*here, "hot_runner_clean"], text.strip().casefold() == CLEAN or None, field_name)
    made.put([*here, "hot_runner_has_held"], resins, field_name)
    for known in ("hot_runner_clean", "hot_runner_holds"):
        made.fields[pointer(*here, known)] = field_name


def _others(made: Made, filled: Filled) -> None:
    numbers = Counter[str]()
    for at, row in rows_of(filled, "others"):
        press = made.meant("presses", row["press"])
        if not press:
            told = f"there is no press {row['press'][:40]!r}" if row["press"] else "say on which press"
            made.problems.append((at + "press", told))
            continue
        here: list[str | int] = ["presses", press, "others", numbers[press]]
        numbers[press] += 1
        made.fields[pointer(*here)] = at + "when"
        made.fields[pointer(*here, "hours")] = at + "when"
        for one in shorthand.listed(row["when"], ";"):
            day, _, hours = one.partition(" ")
            if one.casefold() == WHENEVER_CLOSED:
                made.put([*here, "whenever_closed"], True, at + "when")
            elif day[:4].isdecimal() and "-" in day:
                said = made.heard(spans_of, hours, at + "when")
                made.put([*here, "on_dates", day], said, at + "when")
            else:
                for days, spans in (made.heard(shorthand.week, one, at + "when") or {}).items():
                    made.put([*here, "hours", days], spans, at + "when")
        made.put([*here, "leaves"], _held(made, row["leaves"]), at + "leaves")
        made.put([*here, "moulds"], shorthand.named(row["moulds"], made.names["resins"]), at + "moulds")


def _steps(made: Made, filled: Filled) -> None:
    tools = made.document.get("tools", {})
    for at, row in rows_of(filled, "steps"):
        tool, step = made.meant("tools", row["tool"]), row["what"]
        if not tool:
            told = f"there is no tool {row['tool'][:40]!r}" if row["tool"] else "say which tool it is done on"
            made.problems.append((at + "tool", told))
            continue
        name = row.get(WAS) or tidy(step)
        here: list[str | int] = ["tools", tool, "until_ready", name]
        if not step:
            made.problems.append((at + "what", "say what is to be done"))
            continue
        if name in tools[tool].get("until_ready", {}):
            made.problems.append((at + "what", f"{step[:40]} stands here twice for {tool}; give each its own name"))
            continue
        made.put([*here, "what"], step, at + "what")
        made.put([*here, "days"], made.heard(shorthand.three_points, row["days"], at + "days"), at + "days")
        if row["by"]:
            known_by = [*made.document.setdefault("toolmakers", {}), *made.names["toolmakers"].all]
            by = Names(known_by).meant(row["by"])
            made.document["toolmakers"].setdefault(by, {})
            made.put([*here, "by"], by, at + "by")
        for known in ("done", "not_before"):
            made.day([*here, known], row[known], at + known)
        if row["after"]:
            said = {tidy(one["what"]): one.get(WAS) or tidy(one["what"]) for _, one in rows_of(filled, "steps")}
            earlier = shorthand.named(row["after"], Names([*said, *said.values()]))
            made.put([*here, "after"], [said.get(one, one) for one in earlier], at + "after")


def doubts(made: Made, filled: Filled) -> None:
    """What is not sure about tools, in days counted from when each is to be ready."""
    tools = made.document.get("tools", {})
    for at, row in rows_of(filled, "unsure"):
        tool = made.meant("tools", row["tool"])
        if not tool:
            told = f"there is no tool {row['tool'][:40]!r}" if row["tool"] else "say which tool it is about"
            made.problems.append((at + "tool", told))
            continue
        here: list[str | int] = ["uncertainty", "tools", tool]
        if tool in made.document.get("uncertainty", {}).get("tools", {}):
            made.problems.append((at + "tool", f"{tool[:40]} stands here twice; say all about it in one row"))
            continue
        between = made.heard(shorthand.two_days, row["ready"], at + "ready")
        if between is not None:
            made.put([*here, "ready_days"], _days_around(made, tools[tool], between, at + "ready"), at + "ready")
        works = made.heard(shorthand.chance, row["works"], at + "works")
        if works is None:
            if row["on"] or row["rework"]:
                made.problems.append((at + "works", "say how likely it works on the first trial, e.g. 7 in 10"))
            continue
        trial = [*here, "first_trial"]
        made.put([*trial, "success_chance"], works, at + "works")
        if row["rework"]:
            days = made.heard(shorthand.three_points, row["rework"], at + "rework")
            points = (
                days if isinstance(days, dict) or days is None else dict.fromkeys(("early", "likely", "late"), days)
            )
            made.put([*trial, "rework_days"], points, at + "rework")
        made.day([*trial, "on"], row["on"], at + "on")
        once = "1" if row["on"] and not row["fails"] else row["fails"]
        made.number([*trial, "most_failures"], once, at + "fails")
        for known in ("approval_days", "cost", "setter_hours"):
            made.number([*trial, known], row[known], at + known)
        made.put([*trial, "press"], made.names.get("presses", Names()).meant(row["press"]), at + "press")
        made.put([*trial, "hours"], made.heard(spans_of, row["hours"], at + "hours"), at + "hours")
        resins, colours = (made.names.get(section, Names()) for section in ("resins", "colours"))
        melts = [shorthand.melt(one, resins, colours) for one in shorthand.listed(row["melts"], "+")]
        made.put([*trial, "melts"], melts, at + "melts")
        for n, kg in enumerate(shorthand.listed(row["kg"], "+")):
            made.number([*trial, "kg", n], kg, at + "kg")


def _days_around(made: Made, tool: dict[str, Any], between: tuple[date, date], at: str) -> dict[str, int] | None:
    """Early, likely and late in days from when the tool is to be ready."""
    try:
        ready = date.fromisoformat(str(tool.get("ready", ""))[:10])
    except ValueError:
        made.problems.append((at, "say first when it is to be ready, in the tool's own row"))
        return None
    early, late = ((day - ready).days for day in between)
    if not early <= 0 <= late:
        made.problems.append((at, f"it is to be ready on {ready.isoformat()}; give two days around that"))
        return None
    return {"early": early, "likely": 0, "late": late}


def _pieces(made: Made, filled: Filled) -> None:
    for at, row, name in entries(made, filled, "pieces"):
        here: list[str | int] = ["pieces", name]
        numbers(made, here, at, row, "price", "stock", "lead_days", "pack_of", "min_order", *PAID)
        if row["arrives"] or row["amount"]:
            made.day([*here, "arrivals", 0, "on"], row["arrives"], at + "arrives")
            made.number([*here, "arrivals", 0, "amount"], row["amount"], at + "amount")


def _products(made: Made, filled: Filled) -> None:
    inside = form_moulds.goes_into_moulds(made, filled)
    for at, row, name in entries(made, filled, "products"):
        here: list[str | int] = ["products", name]
        every = [part for part in made.document.get("parts", {}) if part not in inside]
        parts = made.counts("parts", row["parts"], at + "parts") or dict.fromkeys(every, 1)
        made.put([*here, "parts"], parts, at + "parts")
        made.put([*here, "pieces"], made.counts("pieces", row["pieces"], at + "pieces"), at + "pieces")
        made.number([*here, "assembly_minutes"], row["assembly_minutes"], at + "assembly_minutes")


def _colourways(made: Made, filled: Filled) -> None:
    products, parts = made.document.get("products", {}), made.document.get("parts", {})
    for at, row in rows_of(filled, "colourways"):
        name = tidy(row["id"])
        of = made.names["products"].meant(row["product"])
        if row["product"] and of not in products:
            made.problems.append((at + "product", f"there is no product {row['product'][:40]!r}"))
            continue
        chosen = shorthand.colours(row["colours"], made.names["parts"], made.names["colours"])
        strange = [part for part in chosen.by_part if part not in parts]
        if strange:
            made.problems.append((at + "colours", f"there is no part {strange[0]!r}"))
        for product in [of] if of else list(products):
            here: list[str | int] = ["products", product, "colourways", name]
            made.fields[pointer(*here)] = at + ("colours" if name else "id")
            if name in products[product].get("colourways", {}):
                made.problems.append((at + "id", f"{name} stands here twice; give each its own name"))
                continue
            for part, colours in (made.heard(_for(chosen, products[product]), "", at + "colours") or {}).items():
                barrels = max(1, len(parts.get(part, {}).get("barrels", [])))
                full = colours * barrels if len(colours) == 1 else colours
                for barrel, colour in enumerate(full if part in chosen.by_part else full[:barrels]):
                    made.put([*here, part, barrel], colour, at + "colours")


def _for(chosen: shorthand.Colours, product: dict[str, Any]) -> Callable[[str], dict[str, list[str]]]:
    return lambda _: chosen.of(list(product.get("parts", {})))


def _tiers(made: Made, filled: Filled) -> None:
    products = list(made.document.get("products", {}))
    for at, row, name in entries(made, filled, "tiers"):
        here: list[str | int] = ["tiers", name]
        text = row["units"] or "1"
        if text == "0":  # add-ons only
            made.document.setdefault("tiers", {}).setdefault(name, {})["units"] = {}
            made.fields[pointer(*here, "units")] = at + "units"
        elif re.fullmatch(r"[+-]?\d{1,9}", text):
            if len(products) > 1:
                told = f"{text} of which product? write it like `{products[0]} x{text}`"
                made.problems.append((at + "units", told))
            made.put([*here, "units"], {product: int(text) for product in products[:1]}, at + "units")
        else:
            made.put([*here, "units"], made.counts("products", text, at + "units"), at + "units")
        made.day([*here, "promised"], row["promised"], at + "promised")
        made.put([*here, "pieces"], made.counts("pieces", row["pieces"], at + "pieces"), at + "pieces")
        numbers(made, here, at, row, "pack_minutes", "late_cost_per_day", "early_cost_per_day", "keep_promise",
                "wave", "priority")  # fmt: skip
        made.put([*here, "campaign"], row["campaign"].strip(), at + "campaign")


def _orders(made: Made, filled: Filled) -> None:
    tiers, products = made.document.get("tiers", {}), made.document.get("products", {})
    for n, (at, row) in enumerate(rows_of(filled, "orders")):
        tier = made.names["tiers"].meant(row["tier"])
        made.put(["orders", n, "tier"], tier, at + "tier")
        units = tiers.get(tier, {}).get("units", {})
        made.fields[pointer("orders", n, "units")] = at + "colourways"
        named: dict[str, list[str]] = {}
        for one in shorthand.listed(row["colourways"], ";", known=lambda said: _chosen(made, said)[2]):
            product, ways, _ = _chosen(made, one)
            named[product or next(iter(units or products), "")] = ways
        for product, count in units.items():
            if product not in named and len(products.get(product, {}).get("colourways", {})) == 1:
                named[product] = list(products[product]["colourways"])
            if len(named.get(product, ())) == 1:
                named[product] *= max(1, min(count, 100))
        for product, chosen in named.items():
            made.put(["orders", n, "units", product], chosen, at + "colourways")
        made.put(["orders", n, "country"], row["country"].upper(), at + "country")
        made.number(["orders", n, "count"], row["count"], at + "count")
        made.day(["orders", n, "opens"], row["opens"], at + "opens")
        for one in shorthand.listed(row["extra_units"], ";", known=lambda said: _chosen(made, said)[2]):
            product, ways, _ = _chosen(made, one)
            extra = product or next(iter(units or products), "")
            made.put(["orders", n, "extra_units", extra], ways, at + "extra_units")
        extras = made.counts("pieces", row["extra_pieces"], at + "extra_pieces")
        made.put(["orders", n, "extra_pieces"], extras, at + "extra_pieces")


def _chosen(made: Made, one: str) -> tuple[str, list[str], bool]:
    """`planter: sage, cream` as its product ("": not named), the colourways, and whether all of them are known."""
    products, ways = made.names["products"], made.names["colourways"]
    product, said = shorthand.owned(one, products, ways)
    chosen = shorthand.listed(said, known=ways.find)
    sound = (not product or products.find(product) is not None) and all(map(ways.find, chosen))
    return product, [ways.meant(way) for way in chosen], sound


def _when_late(text: str) -> str | None:
    """What a workshop does when a tool is late. Raises ValueError."""
    said = text.strip().casefold()
    if not said:
        return None
    if said not in WHEN_LATE:
        raise ValueError(f"{text[:40]!r} is none of: wait, next run, plan again")
    return WHEN_LATE[said]


def _benches(made: Made, filled: Filled) -> None:
    [(at, row)] = rows_of(filled, "benches")
    for bench in ("assembly", "packing"):
        made.number([bench, "people"], row[f"{bench}_people"], f"{at}{bench}_people")
        made.hours([bench, "hours"], row[f"{bench}_hours"], f"{at}{bench}_hours")
        made.on_dates([bench, "on_dates"], row[f"{bench}_on_dates"], f"{at}{bench}_on_dates")
        own = "packing_rate" if bench == "packing" and row["packing_rate"] else "rate_per_hour"
        made.number([bench, "rate_per_hour"], row[own], at + own)
        made.put([bench, "place"], made.names["places"].meant(row[f"{bench}_place"]), f"{at}{bench}_place")
    made.days(["closed_days"], row["closed_days"], at + "closed_days")
    for one in shorthand.listed(row["regions"], ";"):
        region, _, countries = one.partition(":")
        named = [country.upper() for country in shorthand.listed(countries)]
        if not named:
            told = f"{one[:40]!r} names no countries; write it like eu: DE, FR; us: US"
            made.problems.append((at + "regions", told))
        made.put(["regions", tidy(region)], named, at + "regions")
    made.number(["packing", "batch_parcels"], row["batch_parcels"], at + "batch_parcels")
    if not rows_of(filled, "carriers"):
        made.put(["pick_ups", "days"], shorthand.weekdays(row["days"]), at + "days")
        made.put(["pick_ups", "time"], clock(row["time"]), at + "time")
        made.number(["pick_ups", "parcels"], row["parcels"], at + "parcels")
        made.days(["pick_ups", "on_dates"], row["pick_ups_on"], at + "pick_ups_on")
        made.days(["pick_ups", "not_on"], row["pick_ups_not_on"], at + "pick_ups_not_on")
        numbers(made, ["carrier"], at, row, *form_carriers.LIMITS)
        made.answer(["carrier", "whole_cm"], row["whole_cm"], at + "whole_cm")
    made.hours(["floor", "attended", "hours"], row["attended"], at + "attended")
    made.put(["planning", "when_late"], made.heard(_when_late, row["when_late"], at + "when_late"), at + "when_late")
    numbers(made, ["floor"], at, row, *OF_THE_FLOOR)
    known = made.heard(shorthand.yes_or_no, row["scrap_known"], at + "scrap_known")
    made.put(["scrap_taken"], None if known is None else "known" if known else "unsure", at + "scrap_known")
