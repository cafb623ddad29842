"""The bound nobody disputes: the press hours of the shots themselves, each on its cheapest press."""

import numpy as np

from planner.schedule.instance import Instance


def work_alone(inst: Instance) -> float:
    """Money: what no order of work changes, and each run's production on the press where it costs least."""
    seconds = -(-inst.run_shots * inst.shot_num // inst.shot_den)
    money = np.where(inst.fits, seconds * inst.press_cost_s[:, None], np.inf).min(axis=0)
    return inst.fixed_cost + float(money.sum())
