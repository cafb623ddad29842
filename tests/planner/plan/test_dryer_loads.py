"""The plan's dryer loads: every kilogram that dried resins take, dry before its run."""

import pytest

from benchmarks.generator import small
from planner.control import Unhurried
from planner.planning.make import make_plan


@pytest.mark.parametrize("seed", [0, 9, 12])
def test_loads_add_up_to_what_is_used(seed):
    """The kilograms loaded of each dried resin are those the material list uses, before regrind."""
    campaign = small(seed)
    tpe = campaign.resins["tpe"].model_copy(update={"drying_hours": 2.0, "dryer_kg": 12.0})
    pp = campaign.resins["pp"].model_copy(update={"drying_hours": 1.0, "drying_c": 70.0})
    planning = campaign.planning.model_copy(update={"rounds": 1})
    campaign = campaign.model_copy(update={"resins": campaign.resins | {"tpe": tpe, "pp": pp}, "planning": planning})
    plan = make_plan(campaign, Unhurried())
    dried = {line.id: line for line in plan.materials if line.kind == "resin"}
    assert set(dried) == {"pp", "tpe"}
    for line in dried.values():
        loads = [load for load in plan.drying if load.resin == line.id]
        assert sum(load.kg for load in loads) == pytest.approx(line.used_kg + line.regrind_kg)
        assert all(load.dry_at <= load.used_from for load in loads)
        assert line.if_late
    assert all(load.kg <= 12.0 + 1e-9 for load in plan.drying if load.resin == "tpe")
