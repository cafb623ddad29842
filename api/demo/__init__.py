"""The demo campaign, an invented herb planter: it goes along with the package. examples/herb_planter.py writes it."""

from pathlib import Path

DEMO = Path(__file__).resolve().with_name("herb-planter.json")
