"""A thousand odd campaigns, each of which must come out as a plan that the auditor passes or as a proven refusal.

python -m benchmarks.odd_campaigns [number] [first seed] [ways]

With `ways` each has some of work between press and assembly, bases, price lists, wishes, several carriers and waves.

Clock changes, closures, two barrels, family tools, everything in stock, split dispatch, materials that end, attended
hours, presses that mould on alone, heat, and the other aims. Invented data with a fixed seed.
"""

import random
import sys
import time
from collections import Counter

from benchmarks.floor_campaigns import people_there, plain_resins, resins_mixed
from benchmarks.small_campaigns import Json, document
from benchmarks.ways import some_ways
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.demand.items import run_demands
from planner.errors import CampaignProblems, Infeasible, NoneFound
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.planning.verdict import left_out
from planner.reading import read

MOST_ATTEMPTS = 60
ROUNDS = 2
PATIENCE = 40
"""Rounds in which a plan is looked for once more where none was found: none found is neither plan nor proof."""


def everything_in_stock(draw: random.Random, data: Json) -> None:
    """As at a campaign's end: most or all parts are there."""
    all_of_them = draw.random() < 0.6
    for name, part in data["parts"].items():
        asked = sorted({tuple(way[name]) for way in _ways(data) if name in way})
        there = [colours for colours in asked if all_of_them or draw.random() < 0.6]
        part["stock"] = [{"colours": list(colours), "count": 100_000} for colours in there]


def _ways(data: Json) -> list[dict[str, list[str]]]:
    return [way for product in data["products"].values() for way in product["colourways"].values()]


def materials_end(draw: random.Random, data: Json) -> None:
    """No more can be bought of some: little in stock, one delivery agreed, perhaps too little."""
    for one in [*data["resins"].values(), *data["colours"].values()]:
        if draw.random() < 0.5:
            one.pop("lead_days", None)
            one["stock_kg"] = draw.choice([0.5, 3, 12, 60])
            one["arrivals"] = [
                {"on": f"{data['start'][:8]}{min(28, int(data['start'][8:10]) + 1):02d}T09:15",
                 "amount": draw.choice([1, 8, 300])}
            ]  # fmt: skip


def closures(draw: random.Random, data: Json) -> None:
    """Days closed for all, days of one press or bench that differ, pick-ups that fall out or are added."""
    day = data["start"][:8]
    days = [f"{day}{n:02d}" for n in range(int(data["start"][8:10]), 29)]
    data["closed_days"] = sorted(draw.sample(days, min(len(days), draw.randint(0, 2))))
    for place in [*data["presses"].values(), data["assembly"], data["packing"]]:
        if draw.random() < 0.5:
            some = draw.sample(days, min(len(days), 3))
            hours = ["closed", "22:00-02:30", "06:00-12:00", "00:00-24:00", "09:00-09:20"]
            place["on_dates"] = {d: draw.choice(hours) for d in some}
    if draw.random() < 0.5:
        data["pick_ups"]["not_on"] = draw.sample(days, 1)


def split_dispatch(draw: random.Random, data: Json) -> None:
    """Orders that go out in parts where that is allowed."""
    for tier in data["tiers"].values():
        if draw.random() < 0.7:
            tier["split"] = {
                "ship": draw.choice(["in parts", "whole"]),
                "parcels": draw.randint(2, 3),
                "extra_postage": draw.choice([0, 4.5]),
            }


ODDITIES = {
    "in stock": everything_in_stock,
    "materials end": materials_end,
    "closures": closures,
    "split": split_dispatch,
    "people": people_there,
    "heat": resins_mixed,
}


def odd_document(draw: random.Random) -> tuple[Json, set[str]]:
    """A campaign document with two or three of the oddities, and their names; it may contradict itself."""
    data = document(draw, draw.randint(1, 5), draw.randint(1, 3), draw.randint(1, 5), draw.choice([3, 20, 80]))
    chosen = set(draw.sample(sorted(ODDITIES), draw.randint(1, 3)))
    if "heat" in chosen:  # it brings resins and contents of its own
        plain_resins(data)
    for name, odd in ODDITIES.items():
        if name in chosen:
            odd(draw, data)
    data["planning"] = {"aim": draw.choice(["cost", "cost", "cost", "soonest", "waste"]), "rounds": ROUNDS, "seed": 1}
    if len(data["presses"]) > 1:
        chosen.add("presses")
    if any(len(press["barrels"]) > 1 for press in data["presses"].values()):
        chosen.add("two barrels")
    if any(len(tool["cavities"]) > 1 for tool in data["tools"].values()):
        chosen.add("family tool")
    return data, chosen


def odd(seed: int, ways: bool = False) -> tuple[Campaign, set[str]]:
    """The first of the seed's documents that passes the cross-checks, and what is odd about it. ways: see above."""
    for attempt in range(MOST_ATTEMPTS):
        data, chosen = odd_document(random.Random(f"odd {seed} {attempt}"))
        if ways:
            chosen |= some_ways(random.Random(f"ways {seed} {attempt}"), data)
        try:
            return read(data), chosen
        except CampaignProblems:
            continue
    raise AssertionError(f"odd {seed}: no campaign in {MOST_ATTEMPTS} attempts")


def outcome(campaign: Campaign) -> RunPlan | str:
    """The plan, or how it was refused: `infeasible` where that is proven, else `none found`."""
    for rounds in (ROUNDS, PATIENCE):
        planning = campaign.planning.model_copy(update={"rounds": rounds})
        try:
            return make_plan(campaign.model_copy(update={"planning": planning}), Unhurried())
        except Infeasible:
            return "infeasible"
        except NoneFound:
            continue
    return "none found"


def main(number: int, first: int, ways: bool) -> None:
    seen: Counter[str] = Counter()
    odd_ones: Counter[str] = Counter()
    failed: dict[int, str] = {}
    began = time.monotonic()
    for seed in range(first, first + number):
        campaign, chosen = odd(seed, ways)
        odd_ones.update(chosen)
        odd_ones["nothing to mould"] += not run_demands(campaign)
        try:
            found: RunPlan | str = outcome(campaign)
        except Exception as error:  # whatever it is, the others are still looked at
            failed[seed] = f"{type(error).__name__}: {str(error)[:300]}"
            continue
        if isinstance(found, str):
            seen[found] += 1
            if found == "none found":
                failed[seed] = found
            continue
        seen[found.outcome.status] += 1
        if (fault := left_out(found)) is not None:  # a fault of ours that cost a part (RULES.md, M2)
            failed[seed] = f"{fault.about}: {fault.text[-250:]}"
    told = ", ".join(f"{count} {what}" for what, count in sorted(seen.items()))
    print(f"{number} odd campaigns in {time.monotonic() - began:.0f} s: {told}; {len(failed)} failed")
    print("of them with", ", ".join(f"{what} {count}" for what, count in sorted(odd_ones.items())))
    for seed, why in failed.items():
        print(f"  seed {seed}: {why}")


if __name__ == "__main__":
    given = [int(argument) for argument in sys.argv[1:3]]
    main(given[0] if given else 1000, given[1] if len(given) > 1 else 0, sys.argv[3:] == ["ways"])
