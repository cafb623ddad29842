"""Random order books to plans: orders, parts, pieces, parcels and kilograms reconcile, summed another way."""

import random

import pytest

from benchmarks.generator import small
from planner.campaign import Campaign
from planner.campaign.orders import OrderLine
from planner.control import Unhurried
from planner.errors import Infeasible
from planner.plan import RunPlan
from planner.planning.make import make_plan
from tests.support.reconciliation import differences


def order_book(seed: int) -> Campaign:
    """A small campaign with an order book of its own: more lines, add-ons, counts, countries, all from the seed."""
    draw = random.Random(seed)
    campaign = small(seed % 100)
    lines = list(campaign.orders)
    for n in range(draw.randint(1, 25)):
        model = draw.choice(campaign.orders)
        units = {
            product: [
                draw.choice(sorted({c for o in campaign.orders for c in o.units.get(product, ())})) for _ in chosen
            ]
            for product, chosen in model.units.items()
        }
        lines.append(
            OrderLine(
                ref=f"N{n}",
                tier=model.tier,
                units=units,
                extra_units=model.extra_units,
                extra_pieces=model.extra_pieces,
                country=draw.choice(("GB", "DE", "US", "JP")),
                count=draw.randint(1, 6),
            )
        )
    draw.shuffle(lines)
    quick = campaign.planning.model_copy(update={"rounds": 0})
    return packed(campaign.model_copy(update={"orders": lines, "planning": quick}), random.Random(seed + 10**6))


def packed(campaign: Campaign, draw: random.Random) -> Campaign:
    """The order book with cartons to choose from, orders in parts, spare units and inspection, where a coin says so."""
    sizes = {name: [draw.randint(40, 120) for _ in range(3)] for name in campaign.products}
    cartons = {
        "small-box": {"price": 0.3, "lead_days": 2, "carton": {"inside_mm": [250, 250, 130], "tare_g": 90}},
        "big-box": {"price": 0.9, "lead_days": 2, "carton": {"inside_mm": [900, 700, 700], "tare_g": 600}},
    }
    document = campaign.model_dump(mode="json", exclude_defaults=True)
    document["pieces"] = document.get("pieces", {}) | cartons
    for name, made in document["products"].items():
        made["packed_mm"] = sizes[name]
        if draw.random() < 0.3:
            made["spare_units"] = {draw.choice(list(made["colourways"])): draw.randint(1, 4)}
    for tier in document["tiers"].values():
        if draw.random() < 0.6:
            tier["cartons"] = list(cartons)
        if draw.random() < 0.4:
            tier["split"] = {"parcels": draw.randint(2, 3), "extra_postage": draw.choice([0, 1.9])}
            tier["split"]["ship"] = draw.choice(["in parts", "in parts", "whole"])
    for part in document["parts"].values():
        if draw.random() < 0.3:
            part["inspection"] = {"defects": {"looks": {"aql": draw.choice([0.65, 2.5])}}, "minutes": 0.2}
    return Campaign.model_validate(document)


def planned(seed: int) -> tuple[Campaign, RunPlan] | None:
    """The order book and its plan; None where the campaign has no room for so many orders."""
    campaign = order_book(seed)
    try:
        return campaign, make_plan(campaign, Unhurried())
    except Infeasible:
        return None


@pytest.mark.slow
def test_order_books_reconcile() -> None:
    """A7, A8, A10 and A11 on twenty-four random order books; `benchmarks.orders_reconcile` does five hundred."""
    looked_at = 0
    for seed in range(24):
        made = planned(seed)
        if made is None:
            continue
        looked_at += 1
        assert differences(*made) == [], seed
    assert looked_at > 15


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
