"""What some makers have beside the rest, drawn into a campaign document: work between press and assembly, bases,
price lists, wishes, several carriers, waves, other places, people who stay at a press. Invented; the document may
contradict itself afterwards.
"""

import random
from datetime import datetime, timedelta
from typing import Any

Draw = random.Random
Json = dict[str, Any]

WISHES = ("press", "not_before", "done_by", "then", "first_colour", "together", "free")
DAYS = ["mon", "tue", "wed", "thu", "fri", "sat"]


def bases(draw: Draw, data: Json) -> None:
    """Two or more tools share a base; presses that had two of them in at the start have the first only."""
    names = sorted(data["tools"])
    for name in draw.sample(names, min(len(names), draw.randint(2, 3))):
        data["tools"][name] |= {"base": "bolster", "insert_minutes": draw.choice([0, 7.5, 90])}
    mounted = [press for press in data["presses"].values() if press.get("tool")]
    for press in [p for p in mounted if data["tools"][p["tool"]].get("base")][1:]:
        press["tool"] = None


def charges(draw: Draw, data: Json) -> None:
    """Some presses have a price list and draw power that is paid."""
    data["floor"]["price_per_kwh"] = 0.31
    for press in data["presses"].values():
        press["draws_kw"] = draw.choice([0, 11.5])
        if draw.random() < 0.7:
            press["charges"] = {
                "changeover": draw.choice([0, 45]), "colour_change": draw.choice([0, 20]),
                "shift": draw.choice([0, 33]), "shift_hours": draw.choice([1, 4, 8]),
                "a_piece": {part: draw.choice([0.02, 0.3]) for part in data["parts"] if draw.random() < 0.7},
                "least_a_run": draw.choice([0, 15, 400]),
            }  # fmt: skip


def wish(draw: Draw, data: Json, kind: str) -> Json:
    """A wish of a kind; it may contradict others."""
    start = datetime.fromisoformat(data["start"])

    def runs() -> Json:
        return {"tool": draw.choice(sorted(data["tools"]))}

    def when() -> str:
        moment = start + timedelta(hours=draw.choice([3, 11, 30, 70]))
        return draw.choice([moment.isoformat(), moment.date().isoformat()])

    if kind == "press":
        mine = runs()
        return {"runs": mine, "press": draw.choice(data["tools"][mine["tool"]]["presses"])}
    if kind in ("not_before", "done_by"):
        return {"runs": runs(), kind: when()}
    if kind == "then":
        one, other = draw.sample(sorted(data["tools"]), 2) if len(data["tools"]) > 1 else sorted(data["tools"]) * 2
        return {"runs": {"tool": one}, "then": {"tool": other}}
    if kind == "first_colour":
        on = {"press": draw.choice(sorted(data["presses"]))} if draw.random() < 0.5 else {}
        return {"first_colour": draw.choice(sorted(data["colours"]))} | on
    if kind == "together":
        return {"together": [runs(), runs()]}
    return {"press": draw.choice(sorted(data["presses"])), "free_from": when()}


def wishes(draw: Draw, data: Json) -> None:
    """One to three of the maker's wishes."""
    data["wishes"] = [wish(draw, data, draw.choice(WISHES)) for _ in range(draw.randint(1, 3))]


def finishing(draw: Draw, data: Json) -> None:
    """Benches of our own and other firms between press and assembly; what is in stock may have it still to come."""
    data["finishing_benches"] = {
        "printing": {
            "hours": {"mon-fri": "07:00-12:00, 13:00-17:00"},
            "people": draw.choice([1, 2]),
            "rate_per_hour": 20,
        },
        "welding": {"hours": {"mon-sat": "06:00-14:00 x2"}, "rate_per_hour": 15},
    }
    data["finishing_firms"] = {
        "painter": {"leaves": ["tue", "fri"], "lead_days": draw.choice([0, 2]), "lot_price": 30, "there_days": 0},
        "plater": {"leaves": ["mon", "wed", "sat"], "time": "07:30", "lead_days": 1, "back_days": 2},
    }
    for part in data["parts"].values():
        steps: list[Json] = []
        if draw.random() < 0.4:
            firms = ["painter", "plater"][: draw.choice([1, 2])]
            steps += [{"what": "coating", "at": firm, "price": 0.2, "scrap_share": 0.03} for firm in firms]
            steps[0]["lot_parts"] = draw.choice([None, 7, 60])
            steps[-1]["rest_hours"] = draw.choice([0, 5.5])
        for bench, chance in (("printing", 0.5), ("welding", 0.4)):
            if draw.random() < chance:
                minutes, spoils = draw.choice([0, 0.4, 1.1]), draw.choice([0, 0.02])
                steps.append({"what": bench, "at": bench, "minutes": minutes, "scrap_share": spoils, "price": 0.01})
                steps[-1]["rest_hours"] = draw.choice([0, 0, 3])
        part["finishing"] = steps
        for stock in part.get("stock", []):
            if steps and draw.random() < 0.6:
                stock["finished"] = False
    for product in data["products"].values():
        if draw.random() < 0.4:
            sub_assembly(draw, product)


def sub_assembly(draw: Draw, product: Json) -> None:
    """Some of the product's parts and pieces are put together on the last bench first; some of that is in hand."""
    product["sub_assemblies"] = {
        "inside": {
            "at": "welding",
            "parts": draw.sample(sorted(product["parts"]), draw.randint(1, len(product["parts"]))),
            "pieces": [piece for piece in sorted(product.get("pieces", {})) if draw.random() < 0.5],
            "minutes": draw.choice([0.3, 1.7]),
            "rest_hours": draw.choice([0, 4]),
            "in_hand": {way: draw.choice([0, 3, 40]) for way in sorted(product["colourways"])[:1]},
        }
    }


def own_carrier(draw: Draw, to: list[str], room: int) -> Json:
    """A carrier with pick-ups, rates and perhaps legs and pallets of its own."""
    made: Json = {
        "to": to,
        "pick_ups": {
            "days": draw.sample(DAYS, draw.randint(1, 4)),
            "time": draw.choice(["09:30", "12:00", "17:00"]),
            "parcels": draw.choice([room, room // 2 + 1, 100_000]),
        },
        "rates": [
            {"steps": [{"up_to_kg": 500, "price": draw.choice([3, 4.5, 6])}], "door_days": [1, draw.randint(1, 9)]}
        ],
    }
    if draw.random() < 0.5:
        made["legs"] = [{"what": "at sea", "days": [3, draw.randint(3, 6)]}, {"what": "customs", "days": [0, 2]}]
    if draw.random() < 0.5:
        made["pallets"] = {"parcels": draw.choice([3, 20, 90]), "price": draw.choice([12, 85])}
    return made


def carriers(draw: Draw, data: Json) -> None:
    """Two or three carriers, for orders to several countries; some tiers promise the door, and a day by region."""
    most = max(line.get("count", 1) for line in data["orders"])
    data.pop("carrier", None)
    data.pop("pick_ups", None)
    data["carriers"] = {"anywhere": own_carrier(draw, [], most)}
    for name in ("one", "other")[: draw.randint(1, 2)]:
        data["carriers"][name] = own_carrier(draw, draw.sample(["GB", "DE", "US"], draw.randint(1, 3)), most)
    for line in data["orders"]:
        line["country"] = draw.choice(["GB", "DE", "US"])
    data["regions"] = {"eu": ["DE"]}
    begins = datetime.fromisoformat(data["start"]).date()
    for tier in data["tiers"].values():
        if draw.random() < 0.6:
            tier["promised_to"] = "door"
            tier["promised_in"] = {"eu": (begins + timedelta(days=draw.choice([15, 36]))).isoformat()}


def waves(draw: Draw, data: Json) -> None:
    """Tiers that leave one after the other."""
    for tier in data["tiers"].values():
        if draw.random() < 0.8:
            tier["wave"] = draw.choice([1, 2, 4])


def places(draw: Draw, data: Json) -> None:
    """Some presses stand at one or two other places, and each tool stays at one."""
    start = datetime.fromisoformat(data["start"]).date()
    for name in ("far works", "hill works")[: draw.choice([1, 1, 2])]:
        data.setdefault("places", {})[name] = {
            "time_zone": draw.choice([None, "Europe/Bucharest", "America/New_York", "Asia/Kolkata"]),
            "closed_days": [(start + timedelta(days=n)).isoformat() for n in range(12) if draw.random() < 0.1],
            "setters": draw.choice([1, 1, 2]), "setter_rate_per_hour": draw.choice([0, 11, 90]),
            "leaves": draw.sample(DAYS, draw.randint(1, 5)), "time": draw.choice(["11:30", "16:00", "23:45"]),
            "here_days": draw.choice([0, 1, 4]), "arrives": draw.choice(["06:15", "08:00", "12:00"]),
            "lot_parts": draw.choice([None, 9, 70]), "lot_price": draw.choice([0, 35]),
        }  # fmt: skip
    for name, press in data["presses"].items():
        press["place"] = draw.choice([None, *data["places"]]) if name != min(data["presses"]) else "far works"
        press.pop("lights_out", None)
    at = {name: press["place"] for name, press in data["presses"].items()}
    for name, tool in data["tools"].items():
        stays = at[draw.choice(sorted(tool["presses"]))]
        tool["presses"] = [press for press in tool["presses"] if at[press] == stays]
        for press in data["presses"].values():
            if press.get("tool") == name and press["place"] != stays:
                press["tool"] = None
    for part in data["parts"].values():
        for stock in part.get("stock", []):
            stock["finished"] = draw.random() < 0.7


def benches_elsewhere(draw: Draw, data: Json) -> None:
    """Some benches stand at other places, where presses may stand too: parts, units or both travel."""
    if "places" not in data:
        places(draw, data)
    at = [None, *data["places"]]
    for place in data["places"].values():
        place["there_days"] = draw.choice([None, 0, 2, 5])
    for bench in (data.setdefault("assembly", {}), data.setdefault("packing", {})):
        bench["place"] = draw.choice(at)
    for bench in data.get("finishing_benches", {}).values():
        bench["place"] = draw.choice(at)


def operators(draw: Draw, data: Json) -> None:
    """Some tools ask for people who stay at the press; there are as many as the one that asks for most, or more."""
    for tool in data["tools"].values():
        tool["operators"] = draw.choice([0, 1, 1, 2])
    most = max(tool["operators"] for tool in data["tools"].values())
    for where in (data["floor"], *data.get("places", {}).values()):
        where["operators"] = most + draw.choice([0, 0, 1, 4])
        where["operator_rate_per_hour"] = draw.choice([0, 18, 26.5])


WAYS = {
    "finishing": finishing, "bases": bases, "charges": charges, "wishes": wishes, "carriers": carriers, "waves": waves,
    "places": places, "operators": operators,
}  # fmt: skip


def some_ways(draw: Draw, data: Json, among: tuple[str, ...] = tuple(WAYS)) -> set[str]:
    """One to three of them, and which."""
    chosen = draw.sample(among, draw.randint(1, 3))
    for name in among:
        if name in chosen:
            WAYS[name](draw, data)
    return set(chosen)
