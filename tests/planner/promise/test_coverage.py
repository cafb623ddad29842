"""Coverage: P80 dates hold 80 % of the time when the truth comes from the distributions that were told."""

import pytest

from benchmarks.generator import small
from benchmarks.promise_coverage import coverage, either_way
from planner.campaign.planning import POLICIES


@pytest.mark.parametrize("policy", POLICIES)
def test_p80_dates_hold_four_times_in_five(policy):
    """Where moments are practically continuous, plainly: 1200 truths on 30 campaigns, standard error 1.2 points."""
    for name, share in coverage(30, 400, 40, policy=policy).items():
        assert abs(share.holds - 0.8) < 0.03, name
        assert share.holds - share.before < 0.03, "hardly any lumps, or this would not be the plain measure"


@pytest.mark.parametrize("policy", POLICIES)
def test_in_ordinary_hours_they_hold_at_least_as_often(policy):
    """Moments come in lumps: never less than 80 %, beyond the error of 1600 truths; with lumps split, 80 %."""
    for name, share in coverage(20, 800, 80, small, policy).items():
        assert share.holds > 0.8 - 0.03, name
        assert abs(share.split - 0.8) < 0.04, name


def test_with_branches_they_hold_as_often():
    """Each truth goes on as the branch of its outcome: 640 truths on 4 campaigns, lumps split."""
    for name, share in coverage(4, 600, 160, small, "as planned", either_way).items():
        assert share.holds > 0.8 - 0.05, name
        assert abs(share.split - 0.8) < 0.05, name
