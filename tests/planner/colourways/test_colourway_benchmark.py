"""The benchmark of the price of a colourway prints one line for each, at its smallest size."""

import json
import runpy
import sys
from pathlib import Path

from tests.support.pot_campaign import CAMPAIGN

BENCHMARK = Path(__file__).resolve().parents[3] / "benchmarks" / "colourway_price.py"


def test_it_prints_a_line_for_each_colourway(monkeypatch, capsys, tmp_path) -> None:
    campaign = tmp_path / "pots.json"
    bought = {name: colour | {"lead_days": 2} for name, colour in CAMPAIGN["colours"].items()}
    cartons = {name: piece | {"lead_days": 2} for name, piece in CAMPAIGN["pieces"].items()}
    resins = {name: resin | {"lead_days": 2} for name, resin in CAMPAIGN["resins"].items()}
    campaign.write_text(json.dumps(CAMPAIGN | {"colours": bought, "pieces": cartons, "resins": resins}))
    monkeypatch.setattr(sys, "argv", ["colourway_price", str(campaign), "--seeds", "1", "--rounds", "1"])
    runpy.run_path(str(BENCHMARK), run_name="__main__")
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in lines[2:]] == ["sage", "white"]
    assert all(len(line.split()) == 7 for line in lines[2:])
