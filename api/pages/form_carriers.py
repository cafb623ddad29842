"""Several carriers in the form, what tiers promise by region and to the door; and the form filled in."""

from collections.abc import Mapping, Sequence
from typing import Any

from api.pages import priced, shorthand
from api.pages.form_fields import BY_NAME
from api.pages.form_made import Made, entries, numbers
from api.pages.form_prices import entries_again
from api.pages.form_rows import WAS, Filled, rows_of
from api.pages.form_values import text
from api.pages.measures import clock
from api.pages.shorthand import Names
from api.uploads.known import plain
from planner.campaign.carriers import ELSEWHERE
from planner.campaign.packing import Carrier

Thing = Mapping[str, Any]
Row = dict[str, str]
LIMITS = tuple(name for name in BY_NAME["carriers"].numbers if name in Carrier.model_fields)
DOOR = "door"
REST = frozenset(
    {ELSEWHERE, "theworld", "restofworld", "restoftheworld", "others", "allothers", "rest", "everywhereelse"}
    | {"welt", "diewelt", "restderwelt", "ubrige", "alleanderen"}
)
"""How people call all countries that no region, or no other tariff, names; as `plain` spells it, without blanks."""


def write(made: Made, filled: Filled) -> None:
    """Carriers by their names, and what tiers promise where."""
    currency = str(made.document.get("currency", "EUR"))
    for at, row, name in entries(made, filled, "carriers"):
        here: list[str | int] = ["carriers", name]
        made.document.setdefault("carriers", {}).setdefault(name, {})
        made.put([*here, "to"], _where(made, row["to"]), at + "to")
        made.put([*here, "pick_ups", "days"], shorthand.weekdays(row["days"]), at + "days")
        made.days([*here, "pick_ups", "on_dates"], row["on_dates"], at + "on_dates")
        made.days([*here, "pick_ups", "not_on"], row["not_on"], at + "not_on")
        made.answer([*here, "whole_cm"], row["whole_cm"], at + "whole_cm")
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
    _rate_lists(made, filled, currency)
    regions = Names(made.document.get("regions", {}))
    for at, row, name in entries_again(made, filled, "tiers"):
        for one in shorthand.listed(row["promised_in"]):
            region, _, when = one.partition(":")
            made.day(["tiers", name, "promised_in", _region(regions, region)], when.strip(), at + "promised_in")
        made.put(["tiers", name, "promised_to"], row["promised_to"].strip().lower(), at + "promised_to")


def _where(made: Made, said: str) -> list[str]:
    """`gb, EU` as the regions that are called so, else as countries; nothing for the rest of the world, since what
    names nobody is for those that no other names."""
    regions = Names(made.document.get("regions", {}))
    found = [_region(regions, one) for one in shorthand.listed(said)]
    if found == [ELSEWHERE]:
        return []
    return [one.upper() if len(one) == 2 and one.isalpha() and one not in regions.all else one for one in found]


def _region(regions: Names, said: str) -> str:
    """The region that is called so, or all that none names; else what was said."""
    return regions.find(said) or (ELSEWHERE if plain(said).replace(" ", "") in REST else said.strip())


def _rate_lists(made: Made, filled: Filled, currency: str) -> None:
    """Lists of rates into the carrier they are of; into the one of all pick-ups where nobody has several."""
    several = made.document.get("carriers", {})
    for at, row in rows_of(filled, "rates"):
        owner = made.meant("carriers", row["carrier"])
        if several and not owner:
            told = f"there is no carrier {row['carrier'][:40]!r}" if row["carrier"] else "say which carrier's they are"
            made.problems.append((at + "carrier", told))
            continue
        if row["carrier"] and not several:
            told = "several carriers stand above, each in a row of its own; without them, leave this empty"
            made.problems.append((at + "carrier", told))
            continue
        whose: list[str | int] = ["carriers", owner] if several else ["carrier"]
        there = several[owner] if several else made.document.get("carrier", {})
        here = [*whose, "rates", len(there.get("rates", []))]
        rates = made.heard(lambda said: priced.numbers_at_prices(said, "kg", currency), row["rates"], at + "rates")
        if not rates:
            if not row["rates"]:
                made.problems.append(
                    (at + "rates", "say up to which weight it costs what, e.g. 0.25 at 2.10; 1 at 3.40")
                )
            continue
        for n, (kg, price) in enumerate(rates):
            made.put([*here, "steps", n, "up_to_kg"], kg, at + "rates")
            made.put([*here, "steps", n, "price"], price, at + "rates")
        made.put([*here, "carrier"], row["service"].strip(), at + "service")
        made.put([*here, "to"], _where(made, row["to"]), at + "to")
        span = made.heard(priced.days, row["door_days"], at + "door_days")
        made.put([*here, "door_days"], None if span is None else list(span), at + "door_days")


def _stands_with_it(own: Thing) -> bool:
    """Whether a carrier's first list of rates is said in the carrier's own row: a list for wherever it goes."""
    rates: Sequence[Thing] = own.get("rates") or [{}]
    return not (rates[0].get("to") or rates[0].get("carrier"))


def rates_in(document: Thing) -> list[Row]:
    """Lists of rates as they would be typed, but those that stand with their carriers."""
    rows = []
    owners: list[tuple[str, Thing]] = [("", document.get("carrier") or {})]
    for name, own in [*owners, *(document.get("carriers") or {}).items()]:
        for rate in (own.get("rates") or [])[1 if name and _stands_with_it(own) else 0 :]:
            steps = ((step.get("up_to_kg"), step.get("price")) for step in rate.get("steps") or [])
            rows.append(
                {
                    "carrier": name,
                    "service": text(rate.get("carrier")),
                    "to": ", ".join(rate.get("to") or []),
                    "rates": priced.said_prices(steps, text),
                    "door_days": priced.said_days(rate.get("door_days") or []),
                }
            )
    return rows


def carriers_in(document: Thing) -> list[Row]:
    """Carriers as they would be typed; of several lists of rates the first, where it is for wherever they go."""
    rows = []
    for name, own in (document.get("carriers") or {}).items():
        rule: Thing = own.get("pick_ups") or {}
        rates: Sequence[Thing] = (own.get("rates") if _stands_with_it(own) else None) or [{}]
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
                "not_on": ", ".join(map(text, rule.get("not_on") or [])),
                "whole_cm": text(own.get("whole_cm")),
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
