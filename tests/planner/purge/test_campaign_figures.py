"""A campaign's figures: surfaces by colour, logs of other melts, hot runners, resin pairs."""

import copy

import numpy as np
import pytest

from planner.campaign import Campaign
from planner.purge.basis import Basis
from planner.purge.figures import campaign_figures, hot_runner_fits, tolerance_of, with_hot_runner
from planner.reading.checks import check
from tests.planner.audit.test_audit_compound import workshop
from tests.support.pot_campaign import CAMPAIGN

MELTS = ["pp/sage", "pp/white"]


def pots(**purging) -> Campaign:
    document = copy.deepcopy(CAMPAIGN)
    document["colours"]["night"] = {"hex": "#14151f"}
    document["purging"] = purging
    return Campaign.model_validate(document)


def test_the_surface_is_that_of_the_parts_in_the_colour() -> None:
    """A colour only a hidden part has may be off as far as hidden parts may; one on a visible face may not."""
    document = copy.deepcopy(CAMPAIGN)
    document["parts"]["clip"]["surface"] = "hidden"
    document["colours"]["grey"] = {"hex": "#888888"}
    document["products"]["pot"]["colourways"]["sage"]["clip"] = ["grey"]
    campaign = Campaign.model_validate(document)
    assert tolerance_of(campaign, "pp", "grey") == campaign.purging.hidden_tolerance
    assert tolerance_of(campaign, "pp", "sage") == campaign.purging.visible_tolerance
    assert tolerance_of(campaign, "pp", "unused") == campaign.purging.visible_tolerance


def test_a_log_of_melts_that_are_not_run_still_teaches_the_barrel() -> None:
    """Its factor counts; its melts get no row; what is asked for stays in its order."""
    plain = campaign_figures(pots(), MELTS)["two", 0]
    night = campaign_figures(pots(), [*MELTS, "pp/night"])["two", 0]
    twice = {"press": "two", "from": "pp/night", "to": "pp/white", "kg": 2 * float(night.kg[2, 1])}
    found = campaign_figures(pots(log=[twice] * 4), MELTS)["two", 0]
    assert found.kg.shape == (2, 2)
    assert [str(melt.key) for melt in found.melts] == ["pp in sage", "pp in white"]
    assert found.fit.entries == 4
    assert found.log.set_aside == ()
    assert 1.5 < found.kg[0, 1] / plain.kg[0, 1] <= 2
    assert found.estimate.hold_ups.shape == (2, 2)


def test_flags_of_the_log_reach_the_fit() -> None:
    """Stopped before clean, or with compound: kept, set aside with the reason; confirmed: counted however far off."""
    entry = {"press": "two", "from": "pp/sage", "to": "pp/white", "kg": 400}
    for flag, words in [({"clean": False}, "not clean"), ({"compound": True}, "compound"), ({}, "check the unit")]:
        (one,) = campaign_figures(pots(log=[entry | flag]), MELTS)["two", 0].log.set_aside
        assert words in one.reason
    confirmed = campaign_figures(pots(log=[entry | {"confirmed": True}]), MELTS)["two", 0]
    assert confirmed.log.set_aside == ()
    assert Basis(int(confirmed.basis[0, 1])) is Basis.MEASURED


def test_shots_with_their_own_mass_need_no_tool() -> None:
    log = [{"press": "two", "from": "pp/sage", "to": "pp/white", "shots": 50, "shot_g": 60}]
    assert campaign_figures(pots(log=log), MELTS)["two", 0].kg[0, 1] == pytest.approx(3.0)
    assert check(pots(log=log)) == []
    assert check(pots(log=[log[0] | {"shot_g": None}]))[0].pointer == "/purging/log/0"


def test_a_hot_runner_adds_the_estimates_hold_ups_and_its_own_range() -> None:
    given = [{"from": "pp/sage", "to": "pp/white", "kg": 9}]
    figures = campaign_figures(pots(given=given), MELTS)["two", 0]
    behind = with_hot_runner(figures, 0.1)
    assert behind.kg - figures.kg == pytest.approx(np.round(figures.estimate.hold_ups * 0.1, 3))
    more = figures.estimate.hold_ups[0, 1] * 0.1
    assert behind.low[0, 1] - figures.low[0, 1] == pytest.approx(more / 2.4667, abs=2e-3)
    assert behind.high[0, 1] - figures.high[0, 1] == pytest.approx(more * 7, abs=5e-3)
    assert with_hot_runner(figures, 0.0) is figures


def test_pairs_of_resins_have_the_makers_figures() -> None:
    changes = [{"from": "pp", "to": "tpe", "holdups": 11}]
    figures = campaign_figures(pots(resin_changes=changes), ["pp/white", "tpe/white"])["two", 0]
    assert figures.kg[0, 1] == pytest.approx(11 * 0.6)
    assert figures.kg[1, 0] == pytest.approx(4 * 0.6)  # the general figure: common practice


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        ([{"from": "pp", "to": "pvc", "holdups": 1}], "/purging/resin_changes/0/to"),
        ([{"from": "pp", "to": "pp", "holdups": 1}], "/purging/resin_changes/0/to"),
        ([{"from": "pp", "to": "tpe", "holdups": 1}] * 2, "/purging/resin_changes/1"),
    ],
)
def test_resin_pairs_that_contradict_themselves_are_found(changes, pointer) -> None:
    assert pointer in {problem.pointer for problem in check(pots(resin_changes=changes))}


def test_an_entry_through_a_hot_runner_is_shared_by_what_each_holds() -> None:
    """The same kilograms through the hot-runner tool say less of the barrel, and all the tool's hot runner knows."""
    campaign = workshop()
    melts = ["pp/cream", "pp/ink"]
    sums = campaign_figures(campaign, melts)["p1", 0].estimate.hold_ups
    kg = 2 * float(sums[1, 0]) * (0.4 + 0.1)  # twice the estimate of both
    entry = {"press": "p1", "from": "pp/ink", "to": "pp/cream", "kg": kg, "tool": "cup"}
    figures = campaign_figures(with_log(campaign, [entry] * 8), melts)
    fit = hot_runner_fits(figures)["cup", 0]
    assert figures["p1", 0].kg[1, 0] == pytest.approx(kg * 0.8, abs=1e-3), "measured: the barrel's share"
    assert 1.8 < figures["p1", 0].fit.factor <= 2
    assert fit.factor == pytest.approx(figures["p1", 0].fit.factor)
    assert fit.entries == 8
    cold = campaign_figures(with_log(campaign, [entry | {"tool": None}] * 8), melts)
    assert cold["p1", 0].kg[1, 0] == pytest.approx(kg, abs=1e-3)
    assert hot_runner_fits(cold) == {}


def with_log(campaign: Campaign, log: list[dict[str, object]]) -> Campaign:
    data = campaign.model_dump(mode="json", by_alias=True)
    data["purging"]["log"] = log
    return Campaign.model_validate(data)
