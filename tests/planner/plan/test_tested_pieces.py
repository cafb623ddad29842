"""Pieces that destructive inspection uses up are moulded on top of the orders, and nobody counts on them."""

import random

import pytest
from scipy.stats import binom

from planner.audit import audit
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.demand.items import run_demands
from planner.plan import RunPlan
from planner.planning.make import make_plan
from tests.support.carton_campaign import campaign, document
from tests.support.reconciliation import differences

CUT_UP = {"defects": {"wall": {"aql": 1.0, "level": "S1"}}, "minutes": 4, "destructive": True}


def bowls(test_pieces: int) -> Campaign:
    """The bowls, some of them cut up."""
    part = document()["parts"]["bowl"]
    return campaign(parts__bowl=part | {"inspection": CUT_UP, "test_pieces": test_pieces}, scrap_taken="known")


@pytest.fixture(scope="module")
def made() -> tuple[Campaign, RunPlan]:
    """Thirteen test pieces of each colour: what AQL 1.0 asks of a small lot (letter E, Ac 0)."""
    tested = bowls(13)
    return tested, make_plan(tested, Unhurried())


def test_shots_cover_orders_and_tests(made: tuple[Campaign, RunPlan]) -> None:
    """By scipy's binomial: the fewest shots with P(good >= ordered + 13) >= 0.95."""
    for line in made[1].balance:
        assert line.tests == 13
        assert line.to_mould == line.ordered
        good = line.to_mould + 13
        assert binom.sf(good - 1, 2 * line.counting_shots, 0.98) >= 0.95
        assert binom.sf(good - 1, 2 * (line.counting_shots - 1), 0.98) < 0.95
        assert line.counted_on == line.to_mould


def test_plan_holds_and_reconciles(made: tuple[Campaign, RunPlan]) -> None:
    """The auditor and the sums of another hand; no caution, for what is used up is there."""
    assert made[1].audit is not None
    assert made[1].audit.holds
    assert differences(*made) == []
    assert {found.used_up for found in made[1].inspections} == {13}
    assert not [c for c in made[1].cautions if c.about.startswith("samples")]


def test_too_few_test_pieces_bring_a_caution() -> None:
    """Ten made, thirteen used up: said, with the figure to write."""
    plan = make_plan(bowls(10), Unhurried())
    told = [c.text for c in plan.cautions if c.about == "samples of bowl"]
    assert len(told) == 2
    assert all("uses up 13" in text and "to 13" in text for text in told)


def test_forgotten_test_pieces_are_seen(made: tuple[Campaign, RunPlan]) -> None:
    """A plan without them breaks A7, for the auditor and for the sums of another hand."""
    plain = make_plan(bowls(0), Unhurried())
    assert not next(rule for rule in audit(made[0], plain).rules if rule.rule == "A7").holds
    assert any(told.startswith("A7") for told in differences(made[0], plain))


def test_items_in_stock_are_not_moulded_for_tests() -> None:
    """Nothing to mould: nothing to test."""
    part = document()["parts"]["bowl"] | {"test_pieces": 13, "stock": [{"colours": ["cream"], "count": 500}]}
    assert {run.colours for run in run_demands(campaign(parts__bowl=part))} == {("slate",)}


@pytest.mark.parametrize("seed", range(6))
def test_random_books_with_tests_and_cartons_reconcile(seed: int) -> None:
    """Order counts, test pieces, batch sizes at random: audited, and A7, A8, A10, A11 by sums of another hand."""
    draw = random.Random(seed)
    part = document()["parts"]["bowl"] | {
        "test_pieces": draw.randint(0, 20),
        "spare_share": draw.choice((0, 0.02)),
        "stock": [{"colours": ["slate"], "count": draw.randint(0, 60)}],
    }
    lines = [line | {"count": draw.randint(1, 60)} for line in document()["orders"]]
    drawn = campaign(parts__bowl=part, orders=lines, packing={"batch_parcels": draw.randint(5, 60)})
    plan = make_plan(drawn, Unhurried())
    assert plan.audit is not None
    assert plan.audit.holds
    assert differences(drawn, plan) == []
    assert all(batch.box for batch in plan.batches)
