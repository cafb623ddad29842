"""The workshop's rule of thumb, from common practice, against the planner: ratio of cost, purge and last dispatch.

The rule: the tool whose parts the earliest promised tier asks for comes first, on the press that is free first; all
colours of a tool in a row, from light to dark; batches in order of promise.
Priced by the same evaluator.

    python -m benchmarks.rule_of_thumb [--rounds 30] [--campaigns 20] [--size XS] [--document FILE]
"""

import argparse
import json
import statistics
from pathlib import Path

import numpy as np

from benchmarks.generator import sized
from planner.campaign import Campaign
from planner.campaign.reading import read
from planner.control import Unhurried
from planner.schedule import timing as w
from planner.schedule.compiled import Names, compile_campaign
from planner.schedule.instance import Instance
from planner.schedule.search import Budget, search
from planner.schedule.solution import Solution, allowed, objective_of
from planner.schedule.tape import tape
from planner.schedule.timing import timing_for


def rule_of_thumb(inst: Instance, names: Names) -> Solution:
    """Who runs where in what order by the rule."""
    order = sorted(range(inst.batch_work.size), key=lambda b: (int(inst.batch_due[b]), b))
    wanted = {tool: len(order) for tool in range(inst.mount_s.size)}
    for place, b in enumerate(order):
        for i in range(inst.job_need_ptr[inst.job_ptr[b]], inst.job_need_ptr[inst.job_ptr[b + 1]]):
            run = int(inst.good_run[inst.job_good[i]])
            if run >= 0:
                wanted[int(inst.run_tool[run])] = min(wanted[int(inst.run_tool[run])], place)
    plan = Solution.empty(inst)
    plan.order = np.array(order, dtype=np.int64)
    busy = [0.0] * inst.restart_s.size
    placed: list[list[int]] = [[] for _ in busy]
    pinned = 0
    for p, number in enumerate(inst.pinned):
        for _ in range(number):
            plan.append(p, pinned)
            placed[p].append(int(inst.lot_run[pinned]))
            pinned += 1
    for tool in sorted(wanted, key=lambda t: (wanted[t], t)):
        lots = [j for j in range(pinned, inst.lot_run.size) if inst.run_tool[inst.lot_run[j]] == tool]
        lots.sort(key=lambda j: (-_lightness(names.campaign, names.melts[inst.run_melt[inst.lot_run[j], 0]]), j))
        for group in _together(inst, lots, placed):
            p = min(
                (p for p in range(len(busy)) if _may(inst, p, group, placed[p])), key=lambda p: (busy[p], p), default=-1
            )
            if p < 0:
                return plan
            for j in group:
                plan.append(p, j)
                placed[p].append(int(inst.lot_run[j]))
                busy[p] += float(
                    inst.lot_shots[j] * inst.shot_num[p, inst.lot_run[j]] / inst.shot_den[p, inst.lot_run[j]]
                )
    return plan


def _may(inst: Instance, p: int, lots: list[int], placed: list[int]) -> bool:
    runs = inst.lot_run[lots]
    return bool(inst.fits[p, runs].all()) and not inst.clash[np.ix_(runs, placed)].any()


def _together(inst: Instance, lots: list[int], placed: list[list[int]]) -> list[list[int]]:
    """All lots of a tool on one press where one takes them all, else each where it fits."""
    if any(_may(inst, p, lots, placed[p]) for p in range(len(placed))):
        return [lots] if lots else []
    return [[j] for j in lots]


def _lightness(campaign: Campaign, melt: str) -> float:
    """Luma of the colour on the screen, as one sorts chips by eye."""
    code = campaign.colours[melt.split("/")[1]].hex.lstrip("#")
    r, g, b = (int(code[i : i + 2], 16) for i in (0, 2, 4))
    return 0.299 * r + 0.587 * g + 0.114 * b


def measured(campaign: Campaign, rounds: int, seed: int = 1) -> tuple[dict[str, float], dict[str, float]] | None:
    """Figures by the rule and by the planner: see `_figures`. None if the rule gives no plan."""
    inst, names = compile_campaign(campaign)
    tp, timing = tape(inst), timing_for(inst)
    if measured_rule(inst, names) is None:
        return None
    objective_of(tp, rule_of_thumb(inst, names), timing)
    by_rule = _figures(inst, timing.totals)
    found = search(inst, Budget(rounds, seed, 0.0), Unhurried())
    objective_of(tp, found.solution, timing)
    return by_rule, _figures(inst, timing.totals)


def measured_rule(inst: Instance, names: Names) -> float | None:
    """Cost by the rule; None where the rule gives no plan that can be carried out."""
    timing, rule = timing_for(inst), rule_of_thumb(inst, names)
    if rule.length.sum() < inst.lot_run.size or not allowed(inst, rule):
        return None
    return None if np.isinf(objective_of(tape(inst), rule, timing)) else float(timing.totals[w.COST])


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
