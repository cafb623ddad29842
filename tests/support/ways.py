"""Campaigns with what some makers have beside the rest: bases with inserts, moulders' charges, wishes."""

import random
from datetime import timedelta
from typing import Any

from planner.campaign import Campaign
from planner.reading import read

KINDS = ("press", "not_before", "done_by", "then", "first_colour", "together", "free")


def with_bases(data: dict[str, Any], draw: random.Random) -> None:
    """Two or more tools share a base; presses that had two of them in at the start have the first only."""
    names = sorted(data["tools"])
    for name in draw.sample(names, min(len(names), draw.randint(2, 3))):
        data["tools"][name] |= {"base": "bolster", "insert_minutes": draw.choice([0, 7.5, 90])}
    mounted = [press for press in data["presses"].values() if press.get("tool")]
    for press in [p for p in mounted if data["tools"][p["tool"]].get("base")][1:]:
        press["tool"] = None


def with_charges(data: dict[str, Any], draw: random.Random) -> None:
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


def wish(data: dict[str, Any], draw: random.Random, kind: str) -> dict[str, Any]:
    """A wish of a kind; it may contradict others."""
    start = read(data).start

    def runs() -> dict[str, Any]:
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


def with_ways(campaign: Campaign, seed: int, wished: bool = True) -> Campaign:
    """The campaign with some of all that."""
    draw = random.Random(f"ways {seed}")
    data = campaign.model_dump(mode="json", by_alias=True, exclude_defaults=True)
    data.setdefault("floor", {})
    if seed % 2:
        with_bases(data, draw)
    if seed % 3:
        with_charges(data, draw)
    if wished and seed % 4:
        data["wishes"] = [wish(data, draw, draw.choice(KINDS)) for _ in range(draw.randint(1, 3))]
    return Campaign.model_validate(data)
