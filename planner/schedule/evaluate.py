"""The single place where a plan's cost is decided: who runs where in what order, timed, then weighed in money."""

# The tests hold it against a slow and plain twin.
from planner.schedule import timing as w
from planner.schedule.instance import Floats, Instance
from planner.schedule.jit import inner


@inner
def press_objective(inst: Instance, totals: Floats) -> float:
    """What the presses alone bring to the objective: its value if nothing were late and all left at the start."""
    cost = (
        inst.fixed_cost
        + totals[w.PRESS_COST]
        + totals[w.SETTER_COST]
        + totals[w.PURGE_COST]
        + totals[w.STARTUP_COST]
        + totals[w.LEFTOVER]
    )
    totals[w.COST] = cost
    kg = totals[w.PURGE_TOTAL_KG] + totals[w.STARTUP_TOTAL_KG]
    counted = totals[w.MOVED_RUNS] + inst.wish_cost * totals[w.BROKEN]
    return float(inst.aim_cost * cost + counted + inst.aim_waste * kg)


@inner
def objective(inst: Instance, totals: Floats) -> float:
    """Weigh the totals by the aim, once presses and benches are timed."""
    value = (
        press_objective(inst, totals)
        + inst.aim_cost * totals[w.LATENESS]
        + inst.aim_last * totals[w.LAST] / 86400
        + inst.aim_mean * totals[w.MEAN] / 86400
        + totals[w.MOVED_DAYS]
    )
    totals[w.COST] += totals[w.LATENESS]
    totals[w.OBJECTIVE] = value
    return float(value)
