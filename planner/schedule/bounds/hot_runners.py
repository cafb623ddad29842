"""Least purges of hot runners: every melt a tool is to mould goes through its hot runner, wherever the tool is mounted.

Why: least changeovers leave hot runners out, since what a tool moulded last it may have moulded on another press. But a
tool is in one place at a time, so its run demands, lots cut as anybody likes, follow each other in one walk that enters
each of them: the shortest path through all of them, on the shortest ways between two, costs no more.
"""

import numpy as np

from planner.schedule.bounds.changeovers import same_to_a_press
from planner.schedule.instance import Floats, Instance

MOST_RUNS = 12
"""Run demands of a tool up to which the shortest path is sought; of more each is entered the cheapest way."""


def hot_runner_money(inst: Instance) -> float:
    """Money of all hot runners' purges, at the least: melt, disposal, and the time of press and setter."""
    money = 0.0
    for tool in np.flatnonzero(inst.hot_runner.any(axis=1)):
        runs = np.flatnonzero(inst.run_tool == tool)
        if runs.size:
            money += shortest_path(_entries(inst, int(tool), runs.tolist()))
    return money


def _entries(inst: Instance, tool: int, runs: list[int]) -> Floats:
    """(n + 1, n) least money of each of the tool's n runs after each other and, last, at the start."""
    n, like = len(runs), same_to_a_press(inst)
    cost = np.zeros((n + 1, n))
    holds = inst.tool_melt[tool] if inst.tool_melt.size else np.full(2, -1)
    before = [*(inst.leaves[q] for q in runs), holds]
    for j, r in enumerate(runs):
        fitting = np.flatnonzero(inst.fits[:, r])
        a_second = inst.press_cost_s[fitting] + inst.setter_cost_s[fitting]
        for i, held in enumerate(before):
            for b in range(2):
                old, new = int(held[b]), int(inst.run_melt[r, b])
                if new < 0 or old < 0 or like[old] == like[new] or not inst.hot_runner[tool, b] or not fitting.size:
                    continue
                ways = (inst.hot_s[fitting, b, r, old] * a_second).min() + (
                    inst.hot_kg[tool, b, old, new] * inst.waste_cost_kg[new]
                )
                if inst.compound >= 0 and inst.hot_compound_kg[tool, b, old, new] > 0:
                    with_compound = (inst.hot_compound_s[fitting, b, r, old] * a_second).min()
                    with_compound += inst.hot_compound_kg[tool, b, old, new] * inst.compound_cost_kg
                    with_compound += inst.hot_rinse_kg[tool, b, old, new] * inst.waste_cost_kg[new]
                    ways = min(ways, with_compound)
                cost[i, j] += ways
    return cost


def shortest_path(cost: Floats) -> float:
    """Of a walk from the start (last row) through all n; cost (n + 1, n), never negative. Exact up to MOST_RUNS."""
    n = cost.shape[1]
    between = cost[:n].copy()
    np.fill_diagonal(between, 0.0)
    for middle in range(n):  # shortest ways: a walk may pass where it has been
        between = np.minimum(between, between[:, middle, None] + between[None, middle, :])
    first = np.minimum(cost[n], (cost[n][:, None] + between).min(axis=0))
    if n > MOST_RUNS:
        np.fill_diagonal(between, np.inf)
        into = between.min(axis=0)
        return float(into.sum() + (first - into).min())
    best = np.full((1 << n, n), np.inf)
    for j in range(n):
        best[1 << j, j] = first[j]
    for seen in range(1, 1 << n):
        here = best[seen]
        reached = (here[:, None] + between).min(axis=0)
        for j in range(n):
            if not seen >> j & 1:
                more = seen | 1 << j
                best[more, j] = min(best[more, j], reached[j])
    return float(best[-1].min())
