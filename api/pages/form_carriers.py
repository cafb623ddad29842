"""Several carriers in the form, what tiers promise by region and to the door; and the form filled in."""

from collections.abc import Mapping, Sequence
from typing import Any

from api.pages import priced, shorthand
from api.pages.form_fields import BY_NAME
from api.pages.form_made import Made, entries, numbers
from api.pages.form_prices import entries_again
from api.pages.form_rows import WAS, Filled
from api.pages.form_values import text
from api.pages.measures import clock, day
from planner.campaign.packing import Carrier

Thing = Mapping[str, Any]
Row = dict[str, str]
LIMITS = tuple(name for name in BY_NAME["carriers"].numbers if name in Carrier.model_fields)
DOOR = "door"


def write(made: Made, filled: Filled) -> None:
    """Carriers by their names, and what tiers promise where."""
    currency = str(made.document.get("currency", "EUR"))
    for at, row, name in entries(made, filled, "carriers"):
        here: list[str | int] = ["carriers", name]
        made.document.setdefault("carriers", {}).setdefault(name, {})
        made.put([*here, "to"], shorthand.listed(row["to"]), at + "to")
        made.put([*here, "pick_ups", "days"], shorthand.weekdays(row["days"]), at + "days")
        dates = made.heard(lambda said: [day(one) for one in shorthand.listed(said)], row["on_dates"], at + "on_dates")
        made.put([*here, "pick_ups", "on_dates"], dates, at + "on_dates")
        if row["on_dates"] and not row["days"]:
            made.document["carriers"][name].setdefault("pick_ups", {})["days"] = []
        made.put([*here, "pick_ups", "time"], clock(row["time"]), at + "time")
        made.number([*here, "pick_ups", "parcels"], row["parcels"], at + "parcels")
        numbers(made, here, at, row, *LIMITS)
        rates = made.heard(lambda said: priced.numbers_at_prices(said, "kg", currency), row["rates"], at + "rates")
        for n, (kg, price) in enumerate(rates or []):
            step = [*here, "rates", 0, "steps", n]
            made.put([*step, "up_to_kg"], kg, at + "rates")
            made.put([*step, "price"], price, at + "rates")
        span = made.heard(priced.days, row["door_days"], at + "door_days")
        if rates:
            made.put([*here, "rates", 0, "door_days"], None if span is None else list(span), at + "door_days")
        for n, (what, leg) in enumerate(made.heard(priced.legs, row["legs"], at + "legs") or []):
            made.put([*here, "legs", n, "what"], what, at + "legs")
            made.put([*here, "legs", n, "days"], list(leg), at + "legs")
        made.number([*here, "pallets", "parcels"], row["pallet_parcels"], at + "pallet_parcels")
        made.number([*here, "pallets", "price"], row["pallet_price"], at + "pallet_price")
    for at, row, name in entries_again(made, filled, "tiers"):
        for one in shorthand.listed(row["promised_in"]):
            region, _, when = one.partition(":")
            made.day(["tiers", name, "promised_in", region.strip()], when.strip(), at + "promised_in")
        made.put(["tiers", name, "promised_to"], row["promised_to"].strip().lower(), at + "promised_to")


def carriers_in(document: Thing) -> list[Row]:
    """Carriers as they would be typed; of several rates of one carrier the first."""
    rows = []
    for name, own in (document.get("carriers") or {}).items():
        rule: Thing = own.get("pick_ups") or {}
        rates: Sequence[Thing] = own.get("rates") or [{}]
        pallets: Thing = own.get("pallets") or {}
        steps = ((step.get("up_to_kg"), step.get("price")) for step in rates[0].get("steps") or [])
        legs = (f"{leg.get('what')} {priced.said_days(leg.get('days') or [])}" for leg in own.get("legs") or [])
        rows.append(
            {
                "id": name,
                WAS: name,
                "to": ", ".join(own.get("to") or []),
                "days": ", ".join(rule.get("days") or []),
                "on_dates": ", ".join(map(text, rule.get("on_dates") or [])),
                "time": text(rule.get("time")),
                "parcels": text(rule.get("parcels")),
                "rates": priced.said_prices(steps, text),
                "door_days": priced.said_days(rates[0].get("door_days") or []),
                "legs": "; ".join(legs),
                "pallet_parcels": text(pallets.get("parcels")),
                "pallet_price": text(pallets.get("price")),
            }
            | {known: text(own.get(known)) for known in LIMITS}
        )
    return rows


def promised_in(tier: Thing) -> str:
    """Days promised by region, as they would be typed."""
    return ", ".join(f"{region}: {when}" for region, when in (tier.get("promised_in") or {}).items())
