"""The slip table of the demo: all tools and pieces, four slips, both policies, every cell audited. Seconds on n cores.

python -m benchmarks.slips_table [cores] [slips, e.g. 1,3,7,10] [rounds of the first plan]
"""

import json
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

from planner.campaign.reading import read
from planner.control import Unhurried
from planner.plan.document import RunPlan
from planner.plan.make import make_plan
from planner.slips.document import Cell
from planner.slips.slip import things
from planner.slips.study import Asked, Study, in_order

DEMO = Path(__file__).parents[1] / "examples" / "herb-planter.json"
_study: Study | None = None


def begin(campaign: str, plan: str) -> None:
    """Each process holds the compiled campaign once."""
    global _study

    _study = Study(read(json.loads(campaign)), RunPlan.model_validate_json(plan))


def cell(asked: Asked) -> Cell:
    assert _study is not None
    return _study.cell(asked)


def main() -> None:
    given = sys.argv[1:]
    cores = int(given[0]) if given else 2
    slips = tuple(int(d) for d in given[1].split(",")) if len(given) > 1 else (1, 3, 7, 10)
    rounds = int(given[2]) if len(given) > 2 else 100
    text = DEMO.read_text()

    campaign = read(json.loads(text))
    quick = campaign.planning.model_copy(update={"rounds": rounds})
    plan = make_plan(campaign.model_copy(update={"planning": quick}), Unhurried())
    study = Study(campaign, plan)
    asked = study.asked(slips)
    began = time.perf_counter()
    with ProcessPoolExecutor(cores, get_context("spawn"), begin, (text, plan.model_dump_json(by_alias=True))) as pool:
        cells = list(pool.map(cell, asked))
    rows = in_order([study.row(kind, name, cells) for kind, name in things(campaign)])
    seconds = time.perf_counter() - began
    audited = sum(c.audited for c in cells)
    print(
        f"{len(rows)} things x {len(slips)} slips x 2 policies = {len(cells)} cells, {audited} audited and holding, "
        f"{sum(not c.possible for c in cells)} impossible: {seconds:.1f} s on {cores} processes"
    )
    for row in rows:
        print(f"{row.verdict:>10}  slack {'-' if row.slack_days is None else row.slack_days:>3}  {row.words}")


if __name__ == "__main__":
    main()
