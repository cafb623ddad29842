"""What must be paid by when: by hand on a small campaign, in all against the buying list and the cost, and audited."""

from datetime import date, timedelta
from math import fsum
from typing import Any

import pytest

from planner.audit.auditor import audit
from planner.control import Unhurried
from planner.plan.document import CashDue
from planner.planning.make import make_plan
from planner.reading import read

DOCUMENT: dict[str, Any] = {
    "name": "cash",
    "time_zone": "Europe/London",
    "start": "2027-01-11T06:00",
    "presses": {
        "one": {
            "barrels": [{"holdup_kg": 0.1, "shot_max_g": 100, "clean": True}],
            "clamp_kn": 1000,
            "hours": {"mon-fri": "06:00-22:00"},
            "rate_per_hour": 30,
        }
    },
    "tools": {
        "lid": {"cavities": {"lid": 1}, "cycle_s": 30, "presses": ["one"], "scrap_share": 0, "ready": "2027-01-25"}
    },
    "resins": {
        "pp": {"family": "PP", "price_per_kg": 2, "lead_days": 7, "min_order_kg": 100, "deposit_share": 0.25,
               "balance_days": 30}
    },
    "colours": {"grey": {"hex": "#888888", "let_down_percent": 0}},
    "parts": {"lid": {"barrels": [{"resin": "pp", "mass_g": 10}]}},
    "pieces": {
        "carton": {"price": 0.5, "lead_days": 10, "min_order": 1000, "deposit_share": 0.5, "balance_days": -2,
                   "arrivals": [{"on": "2027-01-20", "amount": 50}]}
    },
    "products": {"pot": {"parts": {"lid": 1}, "colourways": {"grey": {"lid": ["grey"]}}}},
    "tiers": {"one": {"units": {"pot": 1}, "pieces": {"carton": 1}, "promised": "2027-01-29"}},
    "orders": [{"tier": "one", "units": {"pot": ["grey"]}, "count": 200}],
    "scrap_taken": "known",
}  # fmt: skip


def test_an_order_is_paid_whole_in_two_parts():
    """By hand: 100 kg of PP at 2.00 is 200.00, a quarter of it on the order-by day, the rest 7 + 30 days later; 1,000
    cartons at 0.50 are 500.00 though 150 are missing, half at once, half two days before they come; of 50 cartons
    agreed the other half, 12.50, two days before 20 Jan."""
    campaign = read(DOCUMENT)
    plan = make_plan(campaign, Unhurried())
    resin, carton = plan.materials[0], plan.pieces[0]
    assert (resin.bought_kg, carton.bought) == (100, 1000)
    told = {(line.what, line.of): (line.on, line.amount) for line in plan.cash if line.what != "work"}
    assert told == {
        ("deposit", "pp"): (resin.order_by, 50.0),
        ("balance", "pp"): (resin.order_by + timedelta(days=37), 150.0),
        ("deposit", "carton"): (carton.order_by, 250.0),
        ("balance", "carton"): (carton.order_by + timedelta(days=8), 250.0),
        ("agreed delivery", "carton"): (date(2027, 1, 18), 12.5),
    }
    work = [line for line in plan.cash if line.what == "work"]
    assert {line.on for line in work} == {date(2027, 1, 31)}, "the Sunday of the week in which all is done"
    cost = {line.what: line.amount for line in plan.costs}
    for kind in ("press hours", "setter hours", "assembly labour", "packing labour", "disposal"):
        assert fsum(line.amount for line in work if line.of == kind) == pytest.approx(cost[kind], abs=0.01)
    assert audit(campaign, plan).holds


@pytest.mark.parametrize(
    "change", [{"amount": 50.5}, {"on": date(2027, 1, 12)}, {"of": "pc"}, {"what": "balance"}], ids=str
)
def test_the_auditor_sees_a_payment_that_is_wrong(change):
    campaign = read(DOCUMENT)
    plan = make_plan(campaign, Unhurried())
    lines = [
        line.model_copy(update=change) if (line.what, line.of) == ("deposit", "pp") else line for line in plan.cash
    ]
    broken = audit(campaign, plan.model_copy(update={"cash": lines}))
    assert [rule.rule for rule in broken.rules if not rule.holds] == ["A12"]


def test_the_auditor_sees_a_payment_more_or_less():
    campaign = read(DOCUMENT)
    plan = make_plan(campaign, Unhurried())
    more = CashDue(on=date(2027, 2, 1), what="postage", of="extra postage", amount=10)
    for lines in ([*plan.cash, more], plan.cash[1:], [*plan.cash, plan.cash[0]]):
        assert not audit(campaign, plan.model_copy(update={"cash": lines})).holds


def test_what_stock_covers_is_not_paid():
    document = DOCUMENT | {"resins": {"pp": {"family": "PP", "price_per_kg": 2, "stock_kg": 500}}, "pieces": {}}
    document |= {"tiers": {"one": {"units": {"pot": 1}, "promised": "2027-01-29"}}}
    plan = make_plan(read(document), Unhurried())
    assert {line.what for line in plan.cash} == {"work"}
