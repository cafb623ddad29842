"""Seeded random small campaigns of workshops that are not easy on anyone: resins that break down or run hot.

python -m benchmarks.floor_campaigns [number]
"""

import random
from typing import Any

from benchmarks.small_campaigns import document
from planner.campaign import Campaign
from planner.errors import CampaignProblems
from planner.reading import read

Json = dict[str, Any]

PEOPLE: list[dict[str, str]] = [
    {"mon-sun": "07:00-15:30"}, {"mon-fri": "06:00-22:00"}, {"mon-sat": "06:30-11:30, 12:30-18:00"},
]  # fmt: skip

OTHERS: dict[str, Json] = {
    "pom": {"family": "POM"},
    "vinyl": {"family": "PVC-U"},
    "pc": {"family": "PC"},
    "pa66": {"family": "PA66"},
    "abs": {"family": "ABS"},
    "ps": {"family": "PS"},
}
"""Resins that some of the tools mould instead of PP."""


def plain_resins(data: Json) -> None:
    """Take out what `resins_mixed` brings anew: acetal, PE and the pairs they must not make."""
    for name in ("pom", "pe"):
        data["resins"].pop(name, None)
    data["forbidden_pairs"] = []
    for part in data["parts"].values():
        for barrel in part["barrels"]:
            barrel["resin"] = "pp" if barrel["resin"] == "pom" else barrel["resin"]


def resins_mixed(draw: random.Random, data: Json) -> None:
    """Give each one-barrel tool a resin of its own, and the workshop PE to go between and to clear."""
    data["resins"]["pe"] = {"family": "PE-LD", "price_per_kg": 1.4, "natural_colour": "clear"} | draw.choice(
        [{"stock_kg": 300}, {"stock_kg": 0.5, "lead_days": draw.randint(0, 1)}]
    )
    for tool in data["tools"].values():
        parts = [data["parts"][part] for part in tool["cavities"]]
        if len(parts[0]["barrels"]) > 1 or draw.random() < 0.3:
            continue
        name = draw.choice([n for n in OTHERS if n != "vinyl" or "pom" not in data["resins"]])
        if name == "pom" and "vinyl" in data["resins"]:
            name = "abs"
        data["resins"][name] = OTHERS[name] | {"price_per_kg": 3, "stock_kg": 400, "natural_colour": "clear"}
        for part in parts:
            part["barrels"][0]["resin"] = name
        if name in ("pom", "vinyl"):  # long enough to be closed in between
            tool |= {"cycle_s": 61, "cavities": dict.fromkeys(tool["cavities"], 1)}
            tool.pop("blocked_cavities", None)
    for press in data["presses"].values():
        if draw.random() < 0.4:
            press |= {"heats_c_per_minute": draw.choice([2, 8]), "cools_c_per_minute": draw.choice([1.5, 4])}
        if draw.random() < 0.3 and "holds" not in press["barrels"][0]:
            held = draw.choice([name for name in data["resins"] if name not in ("pe", "tpe")])
            press["barrels"][0]["holds"] = f"{held}/clear"
        for barrel in press["barrels"]:
            barrel["clean"] = "holds" not in barrel


def people_there(draw: random.Random, data: Json) -> None:
    """Say when somebody is there, and let some presses run on after that."""
    data["floor"]["attended"] = {"hours": draw.choice(PEOPLE)}
    for press in data["presses"].values():
        press["restart_minutes"] = min(press["restart_minutes"], 5)
        if draw.random() < 0.5:
            press["lights_out"] = {"hours": draw.choice([1.5, 4, 14])} | draw.choice([{}, {"bin_shots": 120}])


def others_at_work(draw: random.Random, data: Json) -> None:
    """Let others use some of the presses: after our shift, on some days, or whenever we have not booked it."""
    windows: list[Json] = [
        {"hours": {"mon-sun": "14:00-22:00"}},
        {"hours": {draw.choice(["tue", "wed", "thu"]): "09:00-17:00"}},
        {"hours": {"mon-fri": "00:00-05:00"}},
        {"on_dates": {str(data["start"])[:10]: "10:00-13:00"}},
        {"whenever_closed": True},
    ]
    for press in data["presses"].values():
        if draw.random() < 0.4:
            continue
        press["others"] = draw.sample(windows, draw.randint(1, 2))
        for entry in press["others"]:
            if draw.random() < 0.5 or {"pom", "vinyl"} & set(data["resins"]):
                held = [name for name in data["resins"] if name not in ("pom", "vinyl", "tpe")]
                entry["leaves"] = [f"{draw.choice(held)}/clear" for _ in press["barrels"]]
                entry["moulds"] = sorted({melt.split("/")[0] for melt in entry["leaves"]})
                if len(entry["leaves"]) == 2 and draw.random() < 0.3:
                    entry["leaves"].pop()


DRIED: dict[str, Json] = {
    "abs": {"drying_hours": 2, "drying_c": 85},
    "asa": {"drying_hours": 3, "drying_c": 85},
    "pc": {"drying_hours": 3, "drying_c": 120},
    "pa66": {"drying_hours": 4, "drying_c": 80},
    "tpe": {"drying_hours": 2.5, "drying_c": 70},
    "pom": {"drying_hours": 1.5, "drying_c": 90},
}


def dryers_shared(draw: random.Random, data: Json) -> None:
    """Dry what is usually dried, some of it through one dryer; say of some dryers how much they hold."""
    for tool in data["tools"].values():
        parts = [data["parts"][part] for part in tool["cavities"]]
        if len(parts[0]["barrels"]) > 1 or parts[0]["barrels"][0]["resin"] != "pp":
            continue
        name = draw.choice(["abs", "asa"])
        data["resins"][name] = {"family": name.upper(), "price_per_kg": 3, "stock_kg": 400, "natural_colour": "clear"}
        for part in parts:
            part["barrels"][0]["resin"] = name
    shared = draw.choice([0.3, 0.9])
    together = [name for name in DRIED if name in data["resins"] and name != "pom" and draw.random() < shared]
    holds = draw.choice([None, 5, 12, 40])
    for name, terms in DRIED.items():
        if name not in data["resins"] or draw.random() < 0.2:
            continue
        resin = data["resins"][name]
        resin |= terms
        if name in together:
            resin |= {"dryer": "hopper"} | ({} if holds is None else {"dryer_kg": holds})
        elif draw.random() < 0.6:
            resin["dryer_kg"] = draw.choice([1.5, 4, 15])
    data["floor"]["dryer_cleaning_minutes"] = draw.choice([0, 20, 45])


def nothing_said(seed: int, data: Json) -> None:
    """Leave unsaid what some barrels and hot runners hold, where neither acetal nor PVC is about."""
    draw = random.Random(f"unsaid {seed}")
    if {"pom", "vinyl"} & set(data["resins"]) or draw.random() < 0.5:
        return
    for press in data["presses"].values():
        for barrel in press["barrels"]:
            barrel["clean"] = barrel["clean"] and draw.random() < 0.6
    for tool in data["tools"].values():
        tool["hot_runner_clean"] = draw.random() < 0.5


def floor_document(seed: int, shared: float = 0.0, dryers: bool = False, small: bool = False) -> Json:
    """The document of one seed; it may contradict itself. shared: in how many of them others use presses too. dryers:
    some of its resins are dried. small: one of which every order of work can be gone through."""
    draw = random.Random(f"floor {seed}")
    if small:
        data = document(draw, draw.randint(1, 3), draw.randint(1, 2), draw.randint(1, 2), draw.choice([6, 25, 60]))
    else:
        data = document(draw, draw.randint(2, 6), draw.randint(1, 3), draw.randint(2, 6), draw.choice([25, 90, 300]))
    plain_resins(data)
    resins_mixed(draw, data)
    if draw.random() < 0.5:
        people_there(draw, data)
    if draw.random() < shared:
        others_at_work(draw, data)
    if dryers:
        dryers_shared(draw, data)
    nothing_said(seed, data)
    return data


def floor_campaign(seed: int, shared: float = 0.0, dryers: bool = False, small: bool = False) -> Campaign | None:
    """The campaign of one seed; None where the document is refused."""
    try:
        return read(floor_document(seed, shared, dryers, small))
    except CampaignProblems:
        return None
