"""People who stay at presses (R26) in replications: who waits for them waits as long as they turn out to stay."""

from datetime import datetime

import numpy as np
import pytest
from scipy import stats

from planner.campaign import Campaign
from planner.control import Unhurried
from planner.planning.make import make_plan
from planner.promise.make import make_promise
from planner.promise.scenarios import DAY_S, draw
from planner.reading import read
from planner.schedule.construct import first_plans
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import packed_instance
from planner.schedule.timing import timing_for
from tests.planner.promise.chains import chain
from tests.planner.promise.followed import replications_of
from tests.support.operators import too_few
from tests.support.sampled import sampled

REPLICATIONS = 4000
DAYS = {"a": (1, 2, 4), "b": (2, 3, 7)}
"""Early, likely and late days of two runs, each on a press of its own, each with somebody who stays."""
SEEDS = (3, 5, 6, 8, 13, 17, 19)
"""Hours of people and lights out in the odd ones; too few people in all but the first."""


def two_presses(people: int) -> Campaign:
    data = chain(DAYS, "triangular").model_dump(mode="json", by_alias=True, exclude_unset=True)
    one = data["presses"].pop("one") | {"begins_with": []}
    for name, tool in data["tools"].items():
        data["presses"][f"press {name}"] = one
        tool |= {"presses": [f"press {name}"], "operators": 1}
    data["floor"] = {"operators": people}
    return read(data)


def moulded_days(campaign: Campaign) -> np.ndarray:
    inst, names = compile_campaign(campaign)
    solution = first_plans(inst, packed_instance(inst), timing_for(inst))[0][1]
    return replications_of(inst, names, solution, draw(campaign, REPLICATIONS, 7)).moulded / DAY_S


def test_with_one_person_for_both_presses_their_runs_add_up() -> None:
    """Closed form: the sum of both triangles, by convolution; with one person each, the later of two that are
    independent: the product of their distributions."""
    of = {name: stats.triang((c - a) / (b - a), a, b - a) for name, (a, c, b) in DAYS.items()}
    at = np.linspace(0, 7, 1401)
    chance = of["a"].pdf(at)

    def sum_of_both(days: np.ndarray) -> np.ndarray:
        return np.array([np.trapezoid(chance * of["b"].cdf(day - at), at) for day in np.atleast_1d(days)])

    assert stats.kstest(moulded_days(two_presses(1)), sum_of_both).pvalue > 0.01
    later = stats.kstest(moulded_days(two_presses(2)), lambda days: of["a"].cdf(days) * of["b"].cdf(days))
    assert later.pvalue > 0.01
    assert stats.kstest(moulded_days(two_presses(2)), sum_of_both).pvalue < 1e-6


@pytest.mark.parametrize("seed", sampled(SEEDS, 2))
def test_where_all_goes_as_likely_a_promise_is_the_plan(seed: int) -> None:
    campaign = too_few(seed)
    assert campaign is not None
    little = {"tools": {name: {"mount_share": {"early": 1, "likely": 1, "late": 1}} for name in campaign.tools}}
    data = campaign.model_dump(mode="json", by_alias=True, exclude_unset=True) | {"uncertainty": little}
    campaign = read(data | {"planning": {"rounds": 1}})
    plan = make_plan(campaign, Unhurried())
    assert any(run.operators for run in plan.runs)
    last: dict[str, datetime] = {}
    for batch in plan.batches:
        leaves = next(d.at for d in plan.dispatches if batch.id in d.batches)
        last[batch.tier] = max(last.get(batch.tier, leaves), leaves)
    for tier in make_promise(campaign, plan, replications=20).tiers:
        assert (tier.dates.p50, tier.dates.p95) == (last[tier.tier].date(),) * 2
