"""Campaigns changed in ways whose effect on the least cost is known, planned before and after.

python -m benchmarks.metamorphic [number] [first seed] [ways]

The same campaign with other ids, its lists in another order, all money doubled, or four weeks later costs the same (or
twice as much); one press, hour, setter or pick-up more, or a tool ready earlier, makes nothing dearer. Held to it are
what is called optimal, and every lower bound. A campaign that can be planned can still be planned afterwards.
With `ways` each has some of work between press and assembly, bases, price lists, several carriers and waves; wishes are
left out, as what can be kept of them is what a search found. Invented data with a fixed seed.
"""

import random
import re
import sys
import time
from collections import Counter
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any, NamedTuple

from benchmarks.odd_campaigns import closures
from benchmarks.small_campaigns import Json, document
from benchmarks.ways import some_ways
from planner.campaign.presses import Charges
from planner.control import Unhurried
from planner.errors import CampaignProblems, Infeasible, NoneFound
from planner.planning.make import make_plan
from planner.reading import read

ROUNDS = 4
MOST_ATTEMPTS = 60
SLACK = 1e-3
"""Money that proofs, bounds and sums may differ by (a proof's precision is 0.0001)."""
DATED = re.compile(r"^\d{4}-\d\d-\d\d")
MONEY = {
    "rate_per_hour", "price", "price_per_kg", "late_cost_per_day", "setter_rate_per_hour", "disposal_per_kg",
    "extra_postage", "price_per_kwh", "lot_price", *(set(Charges.model_fields) - {"shift_hours"}),
}  # fmt: skip

WAYS_PLANNED = ("finishing", "bases", "charges", "carriers", "waves")
IN_ORDER = {"carriers", "finishing_benches"}
"""Objects whose order means something: of carriers that cost the same the first, benches in the order of work."""

Change = Callable[[random.Random, Json], Json]


def campaign_document(seed: int, ways: bool = False) -> Json:
    """A small campaign that passes the cross-checks, in a zone whose clocks never change. ways: see above."""
    for attempt in range(MOST_ATTEMPTS):
        draw = random.Random(f"metamorphic {seed} {attempt}")
        data = document(draw, draw.randint(1, 3), draw.randint(1, 2), draw.randint(1, 3), draw.choice([5, 20]))
        data |= {"time_zone": "Asia/Kolkata", "planning": {"rounds": ROUNDS, "seed": 1}}
        day = data["start"][:8]
        for tool in data["tools"].values():
            if draw.random() < 0.5:
                tool["ready"] = f"{day}{min(28, int(data['start'][8:10]) + 2):02d}T{draw.choice(['07:00', '11:30'])}"
        if draw.random() < 0.3:
            closures(draw, data)
        if ways:
            some_ways(random.Random(f"ways {seed} {attempt}"), data, WAYS_PLANNED)
        try:
            read(data)
        except CampaignProblems:
            continue
        return data
    raise AssertionError(f"no campaign of seed {seed}")


def walked(value: Any, text: Callable[[str], str]) -> Any:
    """The document with every string, keys included, put through `text`."""
    if isinstance(value, dict):
        return {text(key): walked(one, text) for key, one in value.items()}
    if isinstance(value, list):
        return [walked(one, text) for one in value]
    return text(value) if isinstance(value, str) else value


def renamed(draw: random.Random, data: Json) -> Json:
    """Other ids, which sort in another order."""
    kinds = ("presses", "tools", "parts", "products", "tiers", "resins", "colours", "pieces", "regions",
             "finishing_benches", "finishing_firms", "carriers")  # fmt: skip
    ids = [name for kind in kinds for name in data.get(kind, {})]
    numbers = draw.sample(range(100, 1000), len(set(ids)))
    names = {one: f"z{number}" for one, number in zip(dict.fromkeys(ids), numbers, strict=True)}

    def text(said: str) -> str:
        return "/".join(names.get(part, part) for part in said.split("/"))

    return {key: walked(value, text) for key, value in data.items()}


def permuted(draw: random.Random, data: Json) -> Json:
    """Lists whose order means nothing, and all objects, in another order."""

    def turned(value: Any, key: str = "") -> Any:
        if not isinstance(value, dict):
            return value
        pairs = [(name, turned(one, name)) for name, one in value.items()]
        if key not in IN_ORDER:
            draw.shuffle(pairs)
        return dict(pairs)

    found: Json = turned(data)
    for name in ("orders", "closed_days"):
        if name in found:
            found[name] = draw.sample(found[name], len(found[name]))
    for tool in found["tools"].values():
        tool["presses"] = draw.sample(tool["presses"], len(tool["presses"]))
    return found


def doubled(_: random.Random, data: Json) -> Json:
    """All money twice as much."""

    def twice(value: Any, money: bool = False) -> Any:
        if money and not isinstance(value, dict):
            return 2 * value
        if isinstance(value, dict):
            return {key: twice(one, money or key in MONEY) for key, one in value.items()}
        return [twice(one) for one in value] if isinstance(value, list) else value

    found: Json = twice(data)
    return found


def four_weeks_later(_: random.Random, data: Json) -> Json:
    def text(said: str) -> str:
        if not DATED.match(said):
            return said
        moment = datetime.fromisoformat(said) + timedelta(days=28)
        return moment.date().isoformat() if len(said) == 10 else moment.isoformat(timespec="minutes")

    found: Json = walked(data, text)
    return found


def a_press_more(draw: random.Random, data: Json) -> Json:
    """A second one of some press, empty, for all the tools that fit it."""
    name = draw.choice(sorted(data["presses"]))
    other = {key: value for key, value in data["presses"][name].items() if key not in ("tool", "begins_with")}
    other["barrels"] = [
        {key: value for key, value in barrel.items() if key != "holds"} | {"clean": True} for barrel in other["barrels"]
    ]
    tools = {
        tool: told | {"presses": [*told["presses"], "another"]} if name in told["presses"] else told
        for tool, told in data["tools"].items()
    }
    return data | {"presses": data["presses"] | {"another": other}, "tools": tools}


def an_hour_more(draw: random.Random, data: Json) -> Json:
    """Some press closes an hour later on some day of its week, or is open an hour on a day on which it was not."""
    name = draw.choice(sorted(data["presses"]))
    press = data["presses"][name]
    if press.get("charges", {}).get("shift"):  # an hour more may be the first of one more shift
        return data
    hours = dict(press["hours"])
    key = draw.choice(sorted(hours))
    opens, closes = hours[key].split(", ")[-1].split("-")
    if opens < closes < "22:00":
        hours[key] = hours[key][:-5] + f"{int(closes[:2]) + 1:02d}{closes[2:]}"
    elif not any("sun" in day for day in hours):
        hours["sun"] = "09:00-10:00"
    return data | {"presses": data["presses"] | {name: press | {"hours": hours}}}


def a_setter_more(_: random.Random, data: Json) -> Json:
    return data | {"floor": data["floor"] | {"setters": data["floor"]["setters"] + 1}}


def a_pick_up_more(draw: random.Random, data: Json) -> Json:
    """One more day a week, or twice the room; of several carriers one without pallets, which it could make more."""
    single = [name for name, own in data.get("carriers", {}).items() if "pallets" not in own]
    if "carriers" in data:
        for name in draw.sample(single, min(1, len(single))):
            own = data["carriers"][name]
            more_of = a_pick_up_more(draw, {"pick_ups": {"parcels": 100_000} | own["pick_ups"]})
            return data | {"carriers": data["carriers"] | {name: own | more_of}}
        return data
    told = data["pick_ups"]
    others = [day for day in ("mon", "tue", "wed", "thu", "fri", "sat") if day not in told["days"]]
    more = {"days": [*told["days"], draw.choice(others)]} if draw.random() < 0.5 else {"parcels": 2 * told["parcels"]}
    return data | {"pick_ups": told | more}


def a_tool_earlier(draw: random.Random, data: Json) -> Json:
    """A tool that is not ready at the start is ready some hours earlier, or at once."""
    late = [name for name, tool in data["tools"].items() if "ready" in tool]
    if not late:
        return data
    name = draw.choice(late)
    ready = datetime.fromisoformat(data["tools"][name]["ready"]) - timedelta(hours=draw.choice([1, 5, 24, 100]))
    tool = data["tools"][name] | {"ready": ready.isoformat(timespec="minutes")}
    if draw.random() < 0.3:
        tool.pop("ready")
    return data | {"tools": data["tools"] | {name: tool}}


ALIKE: dict[str, tuple[Change, float]] = {
    "ids renamed": (renamed, 1.0),
    "lists permuted": (permuted, 1.0),
    "money doubled": (doubled, 2.0),
    "four weeks later": (four_weeks_later, 1.0),
}
"""Changes after which the least cost is so many times what it was."""

EASIER: dict[str, Change] = {
    "a press more": a_press_more,
    "an hour more": an_hour_more,
    "a setter more": a_setter_more,
    "a pick-up more": a_pick_up_more,
    "a tool earlier": a_tool_earlier,
}
"""Changes that make nothing dearer."""


class Planned(NamedTuple):
    """status: of the plan, or how it was refused; total and bound where there is one."""

    status: str
    total: float = 0.0
    bound: float = 0.0


def planned(data: Json) -> Planned:
    try:
        told = make_plan(read(data), Unhurried()).outcome
    except CampaignProblems as refused:
        return Planned(f"refused at a field: {refused}")
    except (Infeasible, NoneFound) as refused:
        return Planned(type(refused).__name__)
    return Planned(told.status, told.total, told.lower_bound)


def broken(seed: int, seen: Counter[str] | None = None, ways: bool = False) -> list[str]:
    """What does not hold of one seed's campaign, in words. seen: counts what was compared."""
    data = campaign_document(seed, ways)
    before = planned(data)
    seen = Counter() if seen is None else seen
    seen[f"before: {before.status}"] += 1
    found = []
    for name, (change, times) in ALIKE.items():
        after = planned(change(random.Random(f"{name} {seed}"), data))
        seen[name] += 1
        seen["both optimal"] += before.status == after.status == "optimal"
        if _has_plan(before) != _has_plan(after):
            found.append(f"{name}: {before.status}, then {after.status}")
        elif dearer(before, after, times) or dearer(after, before, 1 / times):
            found.append(f"{name}: {before}, then {after}")
    for name, change in EASIER.items():
        after = planned(change(random.Random(f"{name} {seed}"), data))
        seen[name] += 1
        seen["both optimal"] += before.status == after.status == "optimal"
        if _has_plan(before) and not _has_plan(after):
            found.append(f"{name}: {before.status}, then {after.status}")
        elif dearer(before, after, 1.0):
            found.append(f"{name}: {before}, then {after}")
    return found


def _has_plan(planned: Planned) -> bool:
    return planned.status in ("optimal", "feasible")


def dearer(before: Planned, after: Planned, times: float) -> bool:
    """Whether what is proven of the second is above what the first has shown to be possible."""
    return _has_plan(before) and _has_plan(after) and after.bound > times * before.total + SLACK


def main(number: int, first: int, ways: bool) -> None:
    began = time.monotonic()
    seen: Counter[str] = Counter()
    wrong: dict[int, list[str]] = {}
    for done, seed in enumerate(range(first, first + number)):
        if done and done % 50 == 0:
            print(f"{done}: {len(wrong)} broken so far", flush=True)
        if found := broken(seed, seen, ways):
            wrong[seed] = found
    print(f"{number} campaigns, each changed in {len(ALIKE) + len(EASIER)} ways, {time.monotonic() - began:.0f} s")
    print(", ".join(f"{what}: {count}" for what, count in sorted(seen.items())))
    print(f"{len(wrong)} broken")
    for seed, found in wrong.items():
        for what in found:
            print(f"  seed {seed}, {what}")


if __name__ == "__main__":
    given = [int(argument) for argument in sys.argv[1:3]]
    main(given[0] if given else 1000, given[1] if len(given) > 1 else 0, sys.argv[3:] == ["ways"])
