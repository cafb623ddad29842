"""How surely several tools together make enough good parts, and shots of which none is more than that."""

import pytest
from scipy.stats import beta, binom

from planner.demand.items import run_demands, sharings, shots_by_tool
from planner.demand.joint_confidence import chance_of_parts
from planner.reading import read
from tests.support.several_tools import pot_document


def _campaign(**tools):
    data = pot_document()
    data["scrap_taken"] = "known"
    for name, fields in tools.items():
        data["tools"][name.replace("_", " ")] |= fields
    return read(data)


@pytest.mark.parametrize(("parts", "needed"), [((40, 60), 97), ((500, 700), 1180), ((3000, 20), 2980)])
def test_of_one_scrap_share_it_is_the_binomial_of_the_sum(parts, needed):
    """Independent binomials of one share add up to a binomial (Johnson, Kemp, Kotz, Univariate Discrete Distributions,
    chapter 3); scipy's."""
    campaign = _campaign(old_pot={"scrap_share": 0.02}, new_pot={"scrap_share": 0.02})
    ours = chance_of_parts(campaign, "pot", {"old pot": parts[0], "new pot": parts[1]}, needed)
    assert ours == pytest.approx(binom.sf(needed - 1, sum(parts), 0.98), abs=1e-8)


def test_of_two_scrap_shares_it_is_the_sum_over_one_of_them():
    campaign = _campaign(old_pot={"scrap_share": 0.2}, new_pot={"scrap_share": 0.01})
    ours = chance_of_parts(campaign, "pot", {"old pot": 200, "new pot": 300}, 450)
    theirs = sum(binom.pmf(k, 200, 0.8) * binom.sf(449 - k, 300, 0.99) for k in range(201))
    assert ours == pytest.approx(theirs, abs=1e-8)


def test_scrap_that_is_not_sure_is_a_beta_binomial_of_each():
    """A PERT law of no scrap to 20 %, likely 5 %, is a beta law: good parts are beta-binomial, each tool's its own."""
    data = pot_document()
    data["scrap_taken"] = "unsure"
    spread = {"early": 0.0, "likely": 0.05, "late": 0.2, "shape": "beta-pert"}
    data["uncertainty"] = {"tools": {name: {"scrap_share": spread} for name in data["tools"]}}
    campaign = read(data)
    ours = chance_of_parts(campaign, "pot", {"old pot": 120, "new pot": 80}, 185)
    # scrap = 0.2 x, x ~ Beta(1 + 4/4, 1 + 4 * 3/4) = Beta(2, 4); mixed here over 400 of its quantiles
    quantiles = 0.2 * beta.ppf([(k + 0.5) / 400 for k in range(400)], 2, 4)
    first = [binom.pmf(k, 120, 1 - quantiles).mean() for k in range(121)]
    second = [binom.sf(184 - k, 80, 1 - quantiles).mean() for k in range(121)]
    assert ours == pytest.approx(sum(a * b for a, b in zip(first, second, strict=True)), abs=2e-4)


def test_shots_are_enough_and_none_is_to_spare():
    campaign = _campaign()
    for sharing in sharings(campaign):
        for given in ({}, {"old pot": 100}, {"new pot": 40}, {"old pot": 10**6, "new pot": 10**6}):
            shots = sharing.completed(given)
            assert sharing.enough(shots, sharing.needed)
            for tool, number in shots.items():
                assert not number or not sharing.enough({**shots, tool: number - 1}, sharing.needed)
            assert sharing.completed(shots) == shots


def test_good_parts_counted_on_are_shared_as_what_is_moulded():
    """1,000 of 1,500 parts moulded by one tool are two thirds of what is counted on."""
    data = pot_document()
    data["scrap_taken"] = "known"
    data["orders"] = [{**data["orders"][0], "count": 1200}]
    data["planning"]["made_by"] = [{"tool": "old pot", "colours": ["cream"], "shots": 300}]
    for tool in data["tools"].values():
        tool["scrap_share"] = 0.0
    campaign = read(data)
    assert shots_by_tool(campaign) == {("new pot", ("cream",)): 150, ("old pot", ("cream",)): 300}
    assert {run.tool: (run.shots, run.items[0].to_mould) for run in run_demands(campaign)} == {
        "new pot": (150, 600), "old pot": (300, 600)
    }  # fmt: skip
