"""Where the demo campaign lies."""

from pathlib import Path

DEMO = Path(__file__).resolve().parents[1] / "examples" / "herb-planter.json"
