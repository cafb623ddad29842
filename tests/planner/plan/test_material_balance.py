"""What a run takes of a material, by hand."""

from typing import Any

import pytest

from planner.campaign import Campaign
from planner.plan.document import Run
from planner.plan.material_balance import taken_by
from planner.plan.runs import RunUse
from tests.planner.plan.test_others_work import document, planned


@pytest.fixture(scope="module")
def made() -> tuple[Campaign, Run]:
    campaign, plan = planned(document([]))
    return campaign, plan.runs[0]


def use(run: Run, **more: Any) -> RunUse:
    """50 kg of parts, 1.5 of start-up shots, 2 purged with the melt itself."""
    return RunUse(
        **{
            "run": run, "moulded_kg": [50.0], "startup_kg": [1.5], "restart_kg": [0.0], "purge_kg": [2.0],
            "compound_kg": 0.0, "opening_kg": [0.0], "bridge_kg": {}, "closing_kg": {}, "first_closing_kg": {},
            "press_seconds": 1, "setter_seconds": 1, "operator_seconds": 0,
        }
        | more
    )  # fmt: skip


def test_a_resin_that_only_goes_between_two_others_is_taken_too(made: tuple[Campaign, Run]) -> None:
    """A hold-up of a bridge is less than a kilogram, and must be bought like any other."""
    campaign, run = made
    assert run.melts == ["pp/white"]
    assert taken_by(campaign, "resin", "pe", use(run)) is None
    taken = taken_by(campaign, "resin", "pe", use(run, bridge_kg={"pe": 0.4}))
    assert taken is not None
    assert (taken.kg, taken.purge_kg, taken.later_kg) == (0.4, 0.4, 0.0)
    taken = taken_by(campaign, "resin", "pe", use(run, closing_kg={"pe": 0.5}, first_closing_kg={"pe": 0.2}))
    assert taken is not None
    assert (taken.purge_kg, taken.later_kg) == (0.2, 0.3)


def test_resin_and_masterbatch_share_the_melt(made: tuple[Campaign, Run]) -> None:
    """2 % of white: of 50, 1.5 and 2 kg of melt, 49, 1.47 and 1.96 are resin."""
    campaign, run = made
    resin, white = (
        taken_by(campaign, kind, name, use(run)) for kind, name in (("resin", "pp"), ("masterbatch", "white"))
    )
    assert resin is not None
    assert white is not None
    assert (resin.moulded_kg, resin.startup_kg, resin.purge_kg) == pytest.approx((49.0, 1.47, 1.96))
    assert (white.moulded_kg, white.startup_kg, white.purge_kg) == pytest.approx((1.0, 0.03, 0.04))
    assert taken_by(campaign, "masterbatch", "black", use(run)) is None
