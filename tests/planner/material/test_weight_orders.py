"""Price breaks of resin and masterbatch: the order by hand, audited, refused, left out."""

from collections import defaultdict

import pytest
from hypothesis import given
from hypothesis import strategies as st

from examples.situations import campaign_of, plan_of
from planner.campaign import Campaign
from planner.campaign.materials import Resin
from planner.control import Unhurried
from planner.demand import weight_orders
from planner.demand.weight_orders import cheapest_order_kg, price_at, with_price_breaks
from planner.errors import CampaignProblems
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.reading import read
from tests.support.assertions import broken_rules

NAME = "resin-price-break"
PP = {"family": "PP", "price_per_kg": 2.4, "lead_days": 5, "bag_kg": 25}
COMPOUND = {"name": "cleaner", "holdups": 1, "price_per_kg": 9, "price_breaks": [{"kg": 5, "price_per_kg": 1}]}
BREAKS = [{"kg": 250, "price_per_kg": 1.8}, {"kg": 1000, "price_per_kg": 1.6}]


def written():
    return campaign_of(NAME).model_dump(mode="json", by_alias=True, exclude_unset=True)


@pytest.mark.parametrize(
    ("short", "order"),
    [
        (0, (0, 2.4)),
        (100, (100, 2.4)),  # 240 against 450
        (176.4, (250, 1.8)),  # 200 kg would be 480
        (187.5, (250, 1.8)),  # 200 kg again
        (875, (875, 1.8)),  # 1,575 against 1,600
        (885, (1000, 1.6)),  # 900 kg would be 1,620
        (1001, (1025, 1.6)),
    ],
)
def test_the_order_that_costs_least(short, order):
    assert cheapest_order_kg(Resin.model_validate(PP | {"price_breaks": BREAKS}), short) == order


@pytest.mark.parametrize(
    ("stock", "coming", "order"),
    [
        (0, 0, (250, 1.8)),
        (75, 0, (0, 2.4)),  # 105 kg short: five bags, 300 against 450
        (0, 75, (0, 2.4)),
        (40, 35, (0, 2.4)),
        (3.6, 0, (250, 1.8)),  # 176.4 kg short
        (200, 0, (0, 2.4)),  # nothing is short
    ],
)
def test_what_is_short_is_less_what_is_in_hand_and_on_its_way(monkeypatch, stock, coming, order):
    """180 kg are moulded: the least that an order has is raised, and its price taken, only where that costs less."""
    campaign = campaign_of(NAME)
    [name] = [name for name, one in campaign.resins.items() if one.price_breaks]
    arrivals = [{"on": "2027-01-12", "amount": coming}] if coming else []
    given = Resin.model_validate(PP | {"price_breaks": BREAKS, "stock_kg": stock, "arrivals": arrivals})
    monkeypatch.setattr(weight_orders, "moulded_kg", lambda _: defaultdict(float, {("resins", name): 180.0}))
    settled = with_price_breaks(campaign.model_copy(update={"resins": {name: given}})).resins[name]
    assert (settled.min_order_kg, settled.price_per_kg) == order


@given(
    short=st.floats(0.1, 3000),
    steps=st.lists(st.tuples(st.integers(1, 2000), st.floats(0.1, 3)), max_size=4, unique_by=lambda step: step[0]),
    bag=st.sampled_from([1, 20, 25]),
)
def test_no_number_of_bags_that_covers_it_costs_less(short, steps, bag):
    """Every number of bags up to the largest break tried, one by one."""
    one = Resin.model_validate(
        PP | {"bag_kg": bag, "price_breaks": [{"kg": kg, "price_per_kg": price} for kg, price in steps]}
    )
    kg, price = cheapest_order_kg(one, short)
    most = max([short, *(step for step, _ in steps)]) + 2 * bag
    tried = [n * bag for n in range(1, int(most / bag) + 1) if n * bag >= short - 1e-6]
    assert kg >= short - 1e-6
    assert kg * price == pytest.approx(min(size * price_at(one, size) for size in tried))


def test_once_put_in_it_stays():
    once = with_price_breaks(campaign_of(NAME))
    assert with_price_breaks(once) == once
    assert (once.resins["pp"].price_per_kg, once.resins["pp"].min_order_kg) == (1.8, 250)


def test_leaving_them_out_changes_the_plan():
    """200 kg at 2.40 instead of 250 at 1.80: 30 more for resin."""
    data = written()
    del data["resins"]["pp"]["price_breaks"]
    plain = make_plan(read(data), Unhurried())

    def resin(plan):
        line = next(line for line in plan.materials if line.id == "pp")
        return line.bought_kg, line.bought_kg * line.price_per_kg

    assert resin(plan_of(NAME)) == (250, 450)
    assert resin(plain) == (200, 480)
    assert plain.outcome.total - plan_of(NAME).outcome.total == pytest.approx(30)


def test_what_is_agreed_already_has_the_price_of_all_of_it():
    """Nothing is missing: 300 kg come, so a kg costs 1.80."""
    data = written()
    data["resins"]["pp"]["arrivals"] = [{"on": "2027-01-12", "amount": 300}]
    assert with_price_breaks(read(data)).resins["pp"].price_per_kg == 1.8


@pytest.mark.parametrize(
    "spoil",
    [
        lambda asked: asked["resins"]["pp"]["price_breaks"][0].update(price_per_kg=1.9),
        lambda asked: asked["resins"]["pp"]["price_breaks"][0].update(kg=300),
        lambda asked: asked["resins"]["pp"]["price_breaks"][0].update(kg=500),
        lambda asked: asked["resins"]["pp"].pop("price_breaks"),
    ],
)
def test_a_plan_at_another_price_is_seen(spoil):
    data = written()
    spoil(data)
    assert broken_rules(Campaign.model_validate(data), plan_of(NAME)) & {"A11", "A12"}


def test_a_spoilt_line_is_seen():
    told = plan_of(NAME).model_dump(mode="json", by_alias=True)
    next(line for line in told["materials"] if line["id"] == "pp")["bought_kg"] = 200
    assert "A11" in broken_rules(campaign_of(NAME), RunPlan.model_validate(told))


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        (lambda d: d["resins"]["pp"]["price_breaks"].append({"kg": 250, "price_per_kg": 1}), "/resins/pp/price_breaks"),
        (
            lambda d: d.update(purging={"compound": COMPOUND}),
            "/purging/compound/price_breaks",
        ),
    ],
)
def test_what_makes_no_sense_is_refused_where_it_stands(change, pointer):
    data = written()
    change(data)
    with pytest.raises(CampaignProblems) as found:
        read(data)
    assert [problem.pointer for problem in found.value.problems] == [pointer]
    assert all(problem.remedy for problem in found.value.problems)
