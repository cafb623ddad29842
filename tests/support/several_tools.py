"""Campaigns in which several tools make one part, drawn at random or small and plain."""

import json
import random
from typing import Any

from planner.campaign import Campaign
from planner.errors import CampaignProblems
from planner.reading import read
from tests.support.finishing import pot_document as pots_of_one_tool


def shared(campaign: Campaign, seed: int) -> Campaign | None:
    """The campaign with another tool for some of its parts: a copy, an older one, or one with cavities blocked on the
    same base; None where what is drawn cannot be planned."""
    draw = random.Random(seed)
    data = campaign.model_dump(mode="json", by_alias=True, exclude_unset=True)
    for name, tool in list(data["tools"].items()):
        kind = draw.choice(["copy", "older", "blocked", "none"])
        other = json.loads(json.dumps(tool))
        for field in ("until_ready", "base", "insert_minutes"):
            other.pop(field, None)
        if kind == "older":
            other["cycle_s"] = round(tool["cycle_s"] * draw.choice([0.6, 1.4]), 1)
            other["scrap_share"] = draw.choice([0.01, 0.08, 0.15])
            other["startup_shots"] = draw.choice([0, 5, 12])
        elif kind == "blocked":
            some = draw.choice(sorted(tool["cavities"]))
            if tool["cavities"][some] < 2:
                continue
            other["blocked_cavities"] = {some: tool["cavities"][some] - 1}
            other["base"] = tool["base"] = f"base of {name}"
            other["insert_minutes"] = tool["insert_minutes"] = draw.choice([0, 20])
        elif kind == "none":
            continue
        data["tools"][f"{name} {kind}"] = other
    if len(data["tools"]) == len(campaign.tools):
        return None
    try:
        return read(data)
    except CampaignProblems:
        return None


def pot_document() -> dict[str, Any]:
    """Pots in cream and sage: an old tool with two cavities, and a new one with four that fits one press only."""
    data = pots_of_one_tool()
    data["name"] = "Pots of two tools"
    tool = data["tools"]["pot"]
    data["tools"] = {
        "old pot": {**tool, "cavities": {"pot": 2}, "scrap_share": 0.05},
        "new pot": {**tool, "cavities": {"pot": 4}, "scrap_share": 0.01, "presses": [tool["presses"][0]]},
    }
    return data
