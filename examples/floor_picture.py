"""Writes floor.svg, the README's picture: the demo campaign planned and its floor drawn.

    python -m examples.floor_picture

Planned with a fixed number of search rounds and simulated with a fixed seed, so the same versions of the libraries draw
the same picture.
"""

import json
from pathlib import Path

from api.pictures.floor import floor_svg
from api.services.standing_promise import sure_of
from planner.control import Unhurried
from planner.planning.make import make_plan
from planner.promise.make import make_promise
from planner.reading import read

HERE = Path(__file__).parent
ROUNDS = 20


def main() -> None:
    """Plan, draw, write."""
    document = json.loads((HERE / "herb-planter.json").read_text(encoding="utf-8"))
    document["planning"] = {"rounds": ROUNDS, "seed": 1}
    campaign = read(document)
    target = HERE / "floor.svg"
    plan = make_plan(campaign, Unhurried())
    sure = sure_of(make_promise(campaign, plan))
    target.write_text(floor_svg(plan, campaign, sure=sure), encoding="utf-8")
    print(f"{target.name}: {target.stat().st_size} bytes")


if __name__ == "__main__":
    main()
