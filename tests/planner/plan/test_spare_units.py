"""Spare units: parts moulded beyond the orders, in the plan's balance, audited, and left in stock."""

from typing import Any

import pytest

from planner.audit import audit
from planner.colourways.drop_colourway import without
from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.plan import RunPlan
from planner.planning.make import make_plan
from tests.support.carton_campaign import campaign, document
from tests.support.reconciliation import differences


def plan_of(**changes: Any) -> RunPlan:
    """The bowls' plan with changes."""
    return make_plan(campaign(**changes), Unhurried())


def needs(plan: RunPlan) -> dict[str, tuple[int, int, int]]:
    """Colour -> ordered, spares, to mould."""
    return {line.colours[0]: (line.ordered, line.spares, line.to_mould) for line in plan.balance}


def test_spare_units_are_moulded_on_top_and_stay() -> None:
    """Four more of cream, beside the part's own spare share; nobody packs them."""
    share = {"parts__bowl__spare_share": 0.02}
    plain, more = plan_of(**share), plan_of(products__bowl__spare_units={"cream": 4}, **share)
    assert needs(plain)["cream"] == (111, 3, 114)
    assert needs(more)["cream"] == (111, 7, 118)
    assert needs(more)["slate"] == needs(plain)["slate"]
    assert sum(job.units for job in more.assembly) == sum(job.units for job in plain.assembly)
    assert [(line.id, line.used) for line in more.pieces] == [(line.id, line.used) for line in plain.pieces]
    assert more.audit is not None
    assert more.audit.holds
    assert differences(campaign(products__bowl__spare_units={"cream": 4}, **share), more) == []


def test_a_colourway_nobody_ordered_yet_can_be_spare() -> None:
    """Only spares of slate: a run for them, none packed."""
    orders = [{"tier": "one", "units": {"bowl": ["cream"]}, "count": 20}]
    plan = plan_of(orders=orders, products__bowl__spare_units={"slate": 6})
    assert needs(plan) == {"cream": (20, 0, 20), "slate": (0, 6, 6)}
    assert {run.melts[0] for run in plan.runs} == {"pp/cream", "pp/slate"}
    assert plan.audit is not None
    assert plan.audit.holds


def test_the_auditor_misses_spares_left_out() -> None:
    """A plan made without them does not hold for a campaign with them."""
    verdict = audit(campaign(products__bowl__spare_units={"slate": 9}), plan_of())
    assert "A7" in {rule.rule for rule in verdict.rules if not rule.holds}


def test_a_colourway_that_is_not_there_is_refused() -> None:
    """At its field, with those there are; a colourway taken out takes its spares along."""
    with pytest.raises(CampaignProblems) as refused:
        campaign(products__bowl__spare_units={"sand": 3})
    assert [problem.pointer for problem in refused.value.problems] == ["/products/bowl/spare_units/sand"]
    assert "`cream`" in refused.value.problems[0].remedy
    fewer = without(campaign(products__bowl__spare_units={"slate": 3}), "bowl", "slate").campaign
    assert fewer.products["bowl"].spare_units == {}
    assert document()["products"]["bowl"].get("spare_units") is None
