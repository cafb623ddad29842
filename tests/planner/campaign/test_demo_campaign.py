"""The demo is a campaign that its own script writes, of the size it claims."""

import json
import runpy
from pathlib import Path

from planner.campaign import Campaign

EXAMPLES = Path(__file__).resolve().parents[3] / "examples"
DEMO = EXAMPLES / "herb-planter.json"


def test_the_script_writes_the_committed_file():
    """Same seed, same bytes: the order book is not edited by hand."""
    script = runpy.run_path(str(EXAMPLES / "herb_planter.py"))
    assert script["written"](script["campaign"]()) + "\n" == DEMO.read_text(encoding="utf-8")


def test_the_demo_has_what_it_promises():
    """Thousands of lines, three presses of which one has two barrels, a two-shot and a family tool, four tiers."""
    demo = Campaign.model_validate_json(DEMO.read_text(encoding="utf-8"))
    assert len(demo.orders) == 3200
    assert sorted(len(press.barrels) for press in demo.presses.values()) == [1, 1, 2]
    assert len(demo.tools) == 6
    assert any(len(tool.cavities) > 1 for tool in demo.tools.values())
    assert any(len(part.barrels) == 2 for part in demo.parts.values())
    assert len(demo.products["planter"].colourways) == 6
    assert len(demo.tiers) == 4


def test_one_order_a_line():
    """A change of one order shows as one changed line."""
    lines = DEMO.read_text(encoding="utf-8").splitlines()
    assert sum(json.loads(line.strip().rstrip(","))["count"] > 0 for line in lines if '"ref"' in line) == 3200
