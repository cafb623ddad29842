"""What the shots themselves cost: production on its cheapest press, with the warm-ups that closing hours force."""

import numpy as np

from planner.schedule.instance import Floats, Instance, Ints


def production_seconds(inst: Instance) -> Ints:
    """(P, R) working seconds of each run demand on each press, restarts apart."""
    seconds: Ints = -(-inst.run_shots * inst.shot_num // inst.shot_den)
    return seconds


def usable_seconds(inst: Instance) -> Ints:
    """(P) most seconds of work one stretch of each press can hold after its warm-up; 0 where it never opens."""
    longest = np.zeros(inst.restart_s.size, dtype=np.int64)
    for p in range(longest.size):
        a, b = inst.open_ptr[p], inst.open_ptr[p + 1]
        if b > a:
            longest[p] = max(0, (inst.open_end[a:b] - inst.open_start[a:b]).max() - inst.restart_s[p])
    return longest


def second_cost(inst: Instance) -> Floats:
    """(P) money per second of work on each press with its share of a warm-up.

    Every stretch starts cold, so W seconds of work need at least W / usable stretches and pay a warm-up in each; and
    begin at least W / length shifts, where these are charged.
    """
    usable = np.maximum(usable_seconds(inst), 1)
    cost: Floats = inst.press_cost_s * (1 + inst.restart_s / usable)
    if inst.charging:
        cost += inst.shift_charge / np.maximum(1, inst.shift_s)
    return cost


def production_cost(inst: Instance) -> float:
    """Money: each run demand's production on the press where it costs least, warm-ups and who stays there included."""
    a_second = second_cost(inst)[:, None] + inst.tending
    money = np.where(inst.fits, production_seconds(inst) * a_second, np.inf).min(axis=0)
    return float(money.sum())
