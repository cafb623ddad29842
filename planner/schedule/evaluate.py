"""The single place where a plan's cost is decided: who runs where in what order, timed, then weighed in money."""

# The tests hold it against a slow and plain twin.
from planner.schedule import tape as t
from planner.schedule import timing as w
from planner.schedule.instance import Floats, Ints
from planner.schedule.jit import inner


@inner
def press_objective(ints: Ints, floats: Floats, totals: Floats) -> float:
    """What the presses alone bring to the objective: its value if nothing were late and all left at the start."""
    cost = (
        floats[ints[t.FIXED_COST]]
        + totals[w.PRESS_COST]
        + totals[w.SETTER_COST]
        + totals[w.PURGE_COST]
        + totals[w.STARTUP_COST]
        + totals[w.LEFTOVER]
    )
    totals[w.COST] = cost
    kg = totals[w.PURGE_TOTAL_KG] + totals[w.STARTUP_TOTAL_KG]
    return float(floats[ints[t.AIM_COST]] * cost + floats[ints[t.AIM_WASTE]] * kg)


@inner
def objective(ints: Ints, floats: Floats, totals: Floats) -> float:
    """Weigh the totals by the aim, once presses and benches are timed."""
    value = (
        press_objective(ints, floats, totals)
        + floats[ints[t.AIM_COST]] * totals[w.LATENESS]
        + floats[ints[t.AIM_LAST]] * totals[w.LAST] / 86400
        + floats[ints[t.AIM_MEAN]] * totals[w.MEAN] / 86400
    )
    totals[w.COST] += totals[w.LATENESS]
    totals[w.OBJECTIVE] = value
    return float(value)
