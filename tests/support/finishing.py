"""Campaigns whose parts are worked on between press and assembly, drawn at random or small and plain."""

import json
import random
from pathlib import Path
from typing import Any

from benchmarks.ways import finishing
from planner.campaign import Campaign
from planner.errors import CampaignProblems
from planner.reading import read

POT = Path(__file__).resolve().parents[2] / "api" / "demo" / "situations" / "rest-before-assembly.json"


def finished(campaign: Campaign, seed: int) -> Campaign | None:
    """The campaign with benches and firms before assembly; None where what is drawn cannot be planned."""
    draw = random.Random(seed)
    data = campaign.model_dump(mode="json", by_alias=True, exclude_unset=True)
    finishing(draw, data)
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
