"""Random order books to plans: orders, parts, pieces, parcels and kilograms reconcile, summed another way."""

import pytest

from planner.plan import RunPlan
from tests.support.order_books import planned
from tests.support.reconciliation import differences


@pytest.mark.slow
def test_order_books_reconcile() -> None:
    """A7, A8, A10 and A11 on ten random order books; `benchmarks.orders_reconcile` does five hundred."""
    looked_at = 0
    for seed in range(10):
        made = planned(seed)
        if made is None:
            continue
        looked_at += 1
        assert differences(*made) == [], seed
    assert looked_at > 6


def spoilt(plan: RunPlan, part: str, change: dict[str, object]) -> RunPlan:
    """The plan with the first entry of one part changed."""
    first, *rest = getattr(plan, part)
    return plan.model_copy(update={part: [first.model_copy(update=change), *rest]})


def test_reconciliation_notices_what_is_wrong() -> None:
    """One parcel fewer, a batch sent twice, shots too few, early assembly, kilograms off: each is told by its rule."""
    campaign, plan = planned(1) or pytest.fail("seed 1 has a plan")
    batch, dispatch, run, job, material = (
        plan.batches[0],
        plan.dispatches[0],
        plan.runs[0],
        plan.assembly[0],
        plan.materials[0],
    )
    wrong = {
        "A10": [
            spoilt(plan, "batches", {"parcels": batch.parcels + 1}),
            spoilt(plan, "batches", {"lines": batch.lines[1:]}),
            spoilt(plan, "dispatches", {"batches": [*dispatch.batches, batch.id]}),
            spoilt(plan, "batches", {"contents": {}}),
        ],
        "A7": [spoilt(plan, "runs", {"shots": run.shots - 1}), spoilt(plan, "runs", {"shots": run.shots + 9})],
        "A8": [spoilt(plan, "assembly", {"start": plan.start, "units": job.units + 10**6})],
        "A11": [spoilt(plan, "materials", {"purge_kg": material.purge_kg + 0.1})],
    }
    for rule, plans in wrong.items():
        for bad in plans:
            assert any(told.startswith(rule) for told in differences(campaign, bad)), rule
