"""Parts that are moulded over others (O) in replications: lots wait for what goes into their moulds."""

from datetime import date

from examples.situations import campaign_of, plan_of
from planner.campaign.uncertainty import Uncertainty
from planner.promise.make import make_promise

PLANS = {}


def _promised(unsure: dict[str, object], replications: int) -> tuple[date | None, date | None]:
    campaign = campaign_of("overmoulding-in-lots")
    if not PLANS:
        PLANS["plan"] = plan_of("overmoulding-in-lots")
    sure = campaign.model_copy(update={"uncertainty": Uncertainty.model_validate(unsure)})
    (tier,) = make_promise(sure, PLANS["plan"], replications=replications).tiers
    return tier.dates.p50, tier.dates.p95


def test_where_all_goes_as_likely_a_promise_is_the_plan() -> None:
    little = {"tools": {"core": {"mount_share": {"early": 0.999, "likely": 1, "late": 1.001}}}}
    assert _promised(little, 50) == (date(2027, 1, 12), date(2027, 1, 12))


def test_a_grip_comes_later_by_what_its_cores_take_longer() -> None:
    """By hand: cores that take six times as long are moulded for 26.5 h from Monday 6:47, to Tuesday 17:45, and rest
    until 19:45; the last lot of grips is moulded to Wednesday noon and leaves that day."""
    slow = {"tools": {"core": {"cycle_share": {"early": 5.9, "likely": 6, "late": 6.1}}}}
    assert _promised(slow, 60) == (date(2027, 1, 13), date(2027, 1, 13))
