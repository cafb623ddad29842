"""The workshop's rule of thumb, from common practice, against the planner: ratio of cost, purge and last dispatch.

The rule is `planner/schedule/rule_of_thumb.py`; both are priced by the same evaluator.

    python -m benchmarks.rule_of_thumb [--rounds 30] [--campaigns 20] [--size XS] [--document FILE]
"""

import argparse
import json
import statistics
from pathlib import Path

import numpy as np

from benchmarks.generator import sized
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.reading import read
from planner.schedule import timing as w
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.rule_of_thumb import rule_of_thumb
from planner.schedule.search import Budget, search
from planner.schedule.solution import objective_of
from planner.schedule.timing import timing_for


def measured(campaign: Campaign, rounds: int, seed: int = 1) -> tuple[dict[str, float], dict[str, float]] | None:
    """Figures by the rule and by the planner: see `_figures`. None if the rule gives no plan."""
    inst, _ = compile_campaign(campaign)
    arrays, timing = packed_instance(inst), timing_for(inst)
    rule = rule_of_thumb(inst)
    if rule is None or np.isinf(objective_of(arrays, rule, timing)):
        return None
    by_rule = _figures(inst, timing.totals)
    found = search(inst, Budget(rounds, seed, 0.0), Unhurried())
    objective_of(arrays, found.solution, timing)
    return by_rule, _figures(inst, timing.totals)


def measured_rule(inst: Instance) -> float | None:
    """Cost by the rule; None where the rule gives no plan that can be carried out."""
    timing, rule = timing_for(inst), rule_of_thumb(inst)
    if rule is None or np.isinf(objective_of(packed_instance(inst), rule, timing)):
        return None
    return float(timing.totals[w.COST])


def _figures(inst: Instance, totals: np.ndarray) -> dict[str, float]:
    return {
        "cost": float(totals[w.COST]),
        "avoidable": float(totals[w.COST]) - inst.fixed_cost,
        "purge kg": float(totals[w.PURGE_TOTAL_KG]),
        "last dispatch": float(totals[w.LAST]) / 86400,
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=30)
    parser.add_argument("--campaigns", type=int, default=20)
    parser.add_argument("--size", default="XS")
    parser.add_argument("--document", type=Path, help="a campaign document to measure first, e.g. the demo")
    asked = parser.parse_args()
    ratios: dict[str, list[float]] = {}
    print(f"{'campaign':>10} {'cost':>8} {'beyond fixed':>13} {'purge':>8} {'last':>8}   (planner / rule of thumb)")
    if asked.document:
        pair = measured(read(json.loads(asked.document.read_text())), asked.rounds)
        if pair is None:
            print(f"{asked.document.stem}  the rule gives no plan that can be carried out")
        else:
            by_rule, ours = pair
            print("document " + " ".join(f"{ours[n] / by_rule[n]:>9.4f}" for n in ours), flush=True)
    for seed in range(asked.campaigns):
        pair = measured(sized(asked.size, seed), asked.rounds)
        if pair is None:
            print(f"{asked.size} {seed:>6}  the rule gives no plan that can be carried out")
            continue
        by_rule, ours = pair
        row = {name: ours[name] / by_rule[name] if by_rule[name] else 1.0 for name in ours}
        for name, ratio in row.items():
            ratios.setdefault(name, []).append(ratio)
        print(f"{asked.size} {seed:>6} " + " ".join(f"{row[n]:>9.4f}" for n in row), flush=True)
    for label, value in (("median", statistics.median), ("worst", max)):
        print(f"{label:>9} " + " ".join(f"{value(r):>9.4f}" for r in ratios.values()))


if __name__ == "__main__":
    main()
