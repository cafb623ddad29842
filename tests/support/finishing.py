"""Campaigns whose parts are worked on between press and assembly, drawn at random or small and plain."""

import json
import random
from pathlib import Path
from typing import Any

from planner.campaign import Campaign
from planner.errors import CampaignProblems
from planner.reading import read

POT = Path(__file__).resolve().parents[2] / "api" / "demo" / "situations" / "rest-before-assembly.json"


def finished(campaign: Campaign, seed: int) -> Campaign | None:
    """The campaign with benches and firms before assembly; None where what is drawn cannot be planned."""
    draw = random.Random(seed)
    data = campaign.model_dump(mode="json", by_alias=True, exclude_unset=True)
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
        steps: list[dict[str, Any]] = []
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
    try:
        return read(data)
    except CampaignProblems:
        return None


def pot_document() -> dict[str, Any]:
    """600 pots in cream and 400 in sage, packed in hundreds."""
    data: dict[str, Any] = json.loads(POT.read_text(encoding="utf-8"))
    del data["parts"]["pot"]["rest_hours"]
    data["name"], data["planning"]["rounds"] = "Pots", 5
    return data
