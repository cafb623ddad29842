"""Planning again after a slip: how much of the announced order is kept at what cost, against planning from nothing.

    python -m benchmarks.replan_after_slips [slips] [size: demo, XS, S, M] [rounds of each search]

Slips are drawn with a fixed seed: any tool or piece, 1 to 14 days. Prices of going back on one's word, for the row
`near`: a run that moves costs a thousandth of the plan, a tier's day as much.
"""

import json
import random
import sys
from dataclasses import replace
from pathlib import Path
from statistics import mean

from benchmarks.generator import sized
from planner.campaign import Campaign
from planner.campaign.order_of_work import Told
from planner.control import Unhurried
from planner.plan.document import RunPlan
from planner.plan.order_of_work import followed, order_of, warm_start
from planner.planning.make import found_near
from planner.planning.written import written
from planner.reading import read
from planner.schedule.encode import Names, compile_campaign
from planner.schedule.found import as_found
from planner.schedule.search import Budget, search
from planner.slips.compare import compare, runs_moved
from planner.slips.slip import Slip, recompiled, things

ROWS = ("order kept to the letter", "near to what was told", "anew, from the order", "from nothing")


def campaign_of(size: str) -> Campaign:
    if size == "demo":
        return read(json.loads((Path(__file__).parents[1] / "examples" / "herb-planter.json").read_text()))
    return sized(size, 1)


def after(campaign: Campaign, slips: int, rounds: int) -> list[dict[str, tuple[float, float, float]]]:
    """For each slip and row: cost over the cost of planning from nothing, share of runs kept, days all tiers move."""
    inst, names = compile_campaign(campaign)
    first = search(inst, Budget(rounds * 4, 1, 0.0), Unhurried())
    told_plan = written(inst, names, first)
    order = order_of(told_plan)
    days = {t.tier: t.last_dispatch.date() for t in told_plan.tiers}
    price = told_plan.outcome.total / 1000
    told = Told(moving_a_run=price, moving_a_date=price, days=days)
    chance = random.Random(50)
    found = []
    for _ in range(slips):
        kind, name = chance.choice(things(campaign))
        late, late_names = recompiled(inst, names, Slip(kind, name, chance.randint(1, 14)))
        ours, solution = followed(late, late_names, order)
        letter = as_found(ours, solution)
        if letter is None:
            continue
        close = found_near(ours, in_rounds(late_names, rounds), solution, told, Unhurried())
        budget = Budget(rounds, 1, 0.0, bound_effort=0)
        warm = search(late, budget, Unhurried(), warm_start(late, late_names, order))
        cold = search(late, budget, Unhurried())
        plans = {
            ROWS[0]: written(ours, late_names, letter),
            ROWS[1]: written(ours, late_names, close),
            ROWS[2]: written(late, late_names, warm),
            ROWS[3]: written(late, late_names, cold),
        }
        base = plans[ROWS[3]].outcome.total
        found.append({row: _figures(told_plan, plan, base) for row, plan in plans.items()})
    return found


def in_rounds(names: Names, rounds: int) -> Names:
    """The same names, the campaign with a budget of so many rounds."""
    planning = names.campaign.planning.model_copy(update={"rounds": rounds, "seed": 1})
    return replace(names, campaign=names.campaign.model_copy(update={"planning": planning}))


def _figures(told: RunPlan, plan: RunPlan, base: float) -> tuple[float, float, float]:
    seen = compare(told, plan)
    kept = 1 - min(1.0, runs_moved(seen.runs) / seen.runs_before)
    return plan.outcome.total / base - 1, kept, float(sum(max(0, t.days) for t in seen.tiers))


def main() -> None:
    given = [*sys.argv[1:], *("50", "demo", "10")[len(sys.argv) - 1 :]]
    slips, size, rounds = int(given[0]), given[1], int(given[2])
    found = after(campaign_of(size), slips, rounds)
    print(
        f"{len(found)} slips of {size}, {rounds} rounds each; cost against planning from nothing, runs kept in place,"
    )
    print("days tiers leave later, all together")
    for row in ROWS:
        cost, kept, days = (mean(f[row][n] for f in found) for n in range(3))
        print(f"{row:>26}: {cost:+7.2%}  {kept:6.1%}  {days:5.1f}")


if __name__ == "__main__":
    main()
