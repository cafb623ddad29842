"""The slip table of the demo: all tools and pieces, four slips, both policies, every cell audited. Seconds on n cores.

python -m benchmarks.slips_table [cores] [slips, e.g. 1,3,7,10] [rounds of the first plan]
"""

import json
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

from planner.campaign import Campaign
from planner.control import Unhurried
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.reading import read
from planner.slips.document import Cell, SlipRow
from planner.slips.slip import Slip, things
from planner.slips.study import Study, in_order

DEMO = Path(__file__).parents[1] / "examples" / "herb-planter.json"
_study: Study | None = None


def begin(campaign: str, plan: str) -> None:
    """Each process holds the compiled campaign once."""
    global _study
    _study = Study(read(json.loads(campaign)), RunPlan.model_validate_json(plan))


def pair(slip: Slip) -> tuple[list[Cell], float]:
    """The slip under both policies, and the processor seconds it took."""
    assert _study is not None
    began = time.process_time()
    return _study.pair(slip), time.process_time() - began


def table(
    campaign: Campaign, plan: RunPlan, slips: tuple[int, ...], cores: int
) -> tuple[list[SlipRow], list[Cell], float]:
    """Rows worst first, all cells, and the processor seconds of the cells."""
    study = Study(campaign, plan)
    documents = (campaign.model_dump_json(by_alias=True, exclude_unset=True), plan.model_dump_json(by_alias=True))
    asked = [Slip(kind, name, days) for kind, name in things(campaign) for days in slips]
    with ProcessPoolExecutor(cores, get_context("spawn"), begin, documents) as pool:
        answers = list(pool.map(pair, asked))
    cells = [cell for cells, _ in answers for cell in cells]
    rows = in_order([study.row(kind, name, cells) for kind, name in things(campaign)])
    return rows, cells, sum(seconds for _, seconds in answers)


def main() -> None:
    given = [*sys.argv[1:], *("2", "1,3,7,10", "100")[len(sys.argv) - 1 :]]
    cores, slips, rounds = int(given[0]), tuple(int(d) for d in given[1].split(",")), int(given[2])
    campaign = read(json.loads(DEMO.read_text()))
    quick = campaign.planning.model_copy(update={"rounds": rounds})
    plan = make_plan(campaign.model_copy(update={"planning": quick}), Unhurried())
    began = time.perf_counter()
    rows, cells, processor = table(campaign, plan, slips, cores)
    seconds = time.perf_counter() - began
    audited, impossible = sum(c.audited for c in cells), sum(not c.possible for c in cells)
    print(
        f"{len(rows)} things x {len(slips)} slips x 2 policies = {len(cells)} cells, {audited} audited and holding, "
        f"{impossible} impossible: {seconds:.1f} s on {cores} processes, {processor:.1f} s of processor"
    )
    for row in rows:
        print(f"{row.verdict:>10}  slack {'-' if row.slack_days is None else row.slack_days:>3}  {row.words}")


if __name__ == "__main__":
    main()
