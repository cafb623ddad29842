"""What a moulder bills for a run (M6), by hand: its changeover with its hours, its shots, and no less than a least."""

import numpy as np
import pytest

from planner.schedule import timing as w
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.jit import entry
from planner.schedule.press_charges import charge_changeover, charge_shots, close_bill
from planner.schedule.timing import Timing, timing_for
from planner.schedule.warm import smallest_instance


@entry
def _billed(inst: Instance, timing: Timing, seconds: int, shots: int) -> float:
    """A changeover with a purge and a mount, then shots of the first run; what the run comes to before it is closed."""
    charge_changeover(inst, timing, 0, seconds, True, True)
    charge_shots(inst, timing, 0, 0, shots)
    bill = float(timing.bills[0])
    close_bill(inst, timing, 0)
    return bill


@pytest.mark.parametrize(
    ("seconds", "shots", "bill", "lacks"), [(900, 100, 54.0, 6.0), (900, 130, 60.0, 0.0), (0, 100, 45.0, 15.0)]
)
def test_a_run_is_billed_with_its_changeover_and_no_less_than_the_least(
    seconds: int, shots: int, bill: float, lacks: float
) -> None:
    """25 a changeover, 36 an hour, 0.20 a shot (0.05 of it the least there is anywhere), and 60 at least."""
    charges = np.zeros((1, 2, 2))
    charges[0, 1, 1] = 25.0
    inst = smallest_instance()._replace(
        changeover_charge=charges,
        press_cost_s=np.array([0.01]),
        shot_charge=np.array([[0.2]]),
        shot_charge_least=np.array([0.05]),
        least_bill=np.array([60.0]),
    )
    timing = timing_for(inst)
    timing.totals[:] = 0
    assert _billed(packed_instance(inst), timing, seconds, shots) == pytest.approx(bill)
    assert timing.totals[w.PRESS_COST] == pytest.approx(25 + 0.15 * shots + lacks)
    assert timing.bills[0] == 0
