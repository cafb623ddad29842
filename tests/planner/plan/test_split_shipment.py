"""Split shipment: what is ready first goes first, its postage is money, whole orders wait; the auditor follows."""

from datetime import date
from typing import Any

import pytest

from planner.audit import audit
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.plan import RunPlan
from planner.plan.document import PackBatch, TierDates
from planner.plan.order_of_work import order_of
from planner.planning.make import kept, make_plan
from planner.promise.make import make_promise
from planner.schedule.encode import compile_campaign
from tests.support.reconciliation import differences
from tests.support.split_campaign import campaign

Made = tuple[Campaign, RunPlan]


def plan_of(ship: str | None = "in parts", **split: Any) -> Made:
    """The campaign and its plan."""
    sets = campaign(ship, **split)
    return sets, make_plan(sets, Unhurried())


@pytest.fixture(scope="module")
def made() -> Made:
    """Sets in two parts."""
    return plan_of()


@pytest.fixture(scope="module")
def whole() -> Made:
    """Sets that go out whole."""
    return plan_of("whole")


def tier(plan: RunPlan, name: str = "set") -> TierDates:
    """The dates of a tier."""
    return next(line for line in plan.tiers if line.tier == name)


def batches(plan: RunPlan, line: int, part: int) -> list[PackBatch]:
    """Batches with that part of an order line."""
    return [b for b in plan.batches if b.part == part and any(one.line == line for one in b.lines)]


def amount(plan: RunPlan, what: str) -> float:
    """A cost line."""
    return sum(line.amount for line in plan.costs if line.what == what)


def test_the_bowl_goes_first_and_the_cups_follow(made: Made) -> None:
    """The cup's tool is ready on 15 February: bowls with the leaflet leave in January, cups of both colours after."""
    _, plan = made
    (first,), (second,) = batches(plan, 0, 1), batches(plan, 0, 2)
    assert (first.contents, first.pieces) == ({"bowl": {"cream": 1}}, {"leaflet": 1, "small-box": 1})
    assert (second.contents, second.pieces) == ({"cup": {"cream": 1, "slate": 1}}, {"small-box": 1})
    assert (first.parts, second.parts) == (2, 2)
    split = tier(plan).split
    assert split is not None
    assert split.first_parts is not None
    assert split.last_parts is not None
    assert split.first_parts.date() < date(2027, 2, 1)
    assert split.last_parts.date() > date(2027, 2, 15)
    assert split.last_parts == tier(plan).last_dispatch
    assert (split.orders, split.extra_parcels, split.extra_postage) == (61, 61, 61 * 2.5)
    assert tier(plan, "one").split is None


def test_the_choice_changes_the_money(made: Made, whole: Made) -> None:
    """Postage, one more carton and packing for each second parcel; a third of the order is no longer late."""
    split, together = made[1], whole[1]
    assert amount(split, "extra postage") == 61 * 2.5
    assert amount(together, "extra postage") == 0
    days = (tier(together).last_dispatch.date() - date(2027, 1, 29)).days
    assert amount(together, "lateness") == pytest.approx(61 * days * 2)
    first = tier(split).split
    assert first is not None
    assert first.first_parts is not None
    early = max(0, (first.first_parts.date() - date(2027, 1, 29)).days)
    assert amount(split, "lateness") == pytest.approx(61 * 2 * (days * 2 / 3 + early / 3))
    assert tier(together).first_dispatch == tier(together).last_dispatch > tier(split).first_dispatch
    assert {line.id: line.used for line in split.pieces}["small-box"] > 100


def test_the_other_choice_is_told_and_true(made: Made, whole: Made) -> None:
    """What the plan says of the other choice is what the other plan comes to, both at their best here."""
    for one, other in ((made[1], whole[1]), (whole[1], made[1])):
        split = tier(one).split
        assert split is not None
        assert split.other is not None
        assert split.other.ship != split.ship
        assert one.outcome.total + split.other.cost_change == pytest.approx(other.outcome.total)
        assert split.other.first_dispatch == tier(other).first_dispatch
        assert split.other.last_dispatch == tier(other).last_dispatch


def test_no_word_of_splitting_is_shipping_whole(whole: Made) -> None:
    """Without `split` the plan is that of whole orders, and tells nothing of it."""
    _, plain = plan_of(None)
    assert plain.outcome.total == pytest.approx(whole[1].outcome.total)
    assert all(line.split is None for line in plain.tiers)
    assert all(b.parts == 1 for b in [*plain.batches, *whole[1].batches])


def test_at_most_as_many_parcels_as_said() -> None:
    """Three: the two cups of line a, both late, part as well; units alike stay together."""
    _, plan = plan_of(parcels=3)
    assert [batches(plan, 0, n)[0].contents for n in (1, 2, 3)] == [
        {"bowl": {"cream": 1}},
        {"cup": {"cream": 1}},
        {"cup": {"slate": 1}},
    ]
    assert [batches(plan, 1, n)[0].contents for n in (1, 2)] == [{"bowl": {"slate": 1}}, {"cup": {"slate": 2}}]
    assert amount(plan, "extra postage") == (60 * 2 + 1) * 2.5


def test_it_holds_reconciles_and_can_be_followed(made: Made) -> None:
    """Auditor, the sums of another hand, and the same order of work timed again."""
    sets, plan = made
    assert plan.audit is not None
    assert plan.audit.holds
    assert differences(*made) == []
    inst, names = compile_campaign(sets)
    again = kept(inst, names, order_of(plan))
    assert again is not None
    assert again.outcome.total == pytest.approx(plan.outcome.total)


def test_a_promise_tells_first_and_last_parcel(made: Made) -> None:
    """Groups of the tier: the bowls' P80 is in January, the cups' and so the tier's is not."""
    promise = make_promise(*made, replications=50)
    groups = {(g.part, g.parts): g.dates.p80 for g in promise.groups if g.tier == "set" and g.region == "home"}
    assert set(groups) == {(1, 2), (2, 2)}
    first, last = groups[1, 2], groups[2, 2]
    assert first is not None
    assert last is not None
    assert first < date(2027, 2, 14) < last


@pytest.mark.parametrize(
    ("rule", "spoil"),
    [
        ("A10", "part left out"),
        ("A10", "called whole"),
        ("A10", "wrong part"),
        ("A10", "swapped"),
        ("A10", "leaflet in both"),
        ("A10", "postage played down"),
        ("A10", "first parts told later"),
        ("A10", "split not told"),
        ("A12", "postage left out"),
        ("A12", "dearer postage"),
        ("A12", "lateness as of whole orders"),
    ],
)
def test_auditor_sees_a_wrong_split(made: Made, rule: str, spoil: str) -> None:
    """Parts, their order, postage and dates that are not the campaign's."""
    sets, plan = made
    told = tier(plan)
    assert told.split is not None
    changed: dict[str, Any] = {}
    edits: dict[tuple[int, int], dict[str, Any]] = {}
    if spoil == "part left out":
        changed["batches"] = [b for b in plan.batches if b not in batches(plan, 0, 2)]
    elif spoil == "called whole":
        edits = {(0, 1): {"part": 1, "parts": 1}}
    elif spoil == "wrong part":
        edits = {(0, 2): {"part": 3}}
    elif spoil == "swapped":
        edits = {(0, 1): {"part": 2}, (0, 2): {"part": 1}}
    elif spoil == "leaflet in both":
        edits = {(0, 2): {"pieces": {"leaflet": 1, "small-box": 1}}}
    elif spoil == "postage played down":
        split = told.split.model_copy(update={"extra_postage": 10.0})
        changed["tiers"] = [t if t is not told else t.model_copy(update={"split": split}) for t in plan.tiers]
    elif spoil == "first parts told later":
        split = told.split.model_copy(update={"first_parts": told.split.last_parts})
        changed["tiers"] = [t if t is not told else t.model_copy(update={"split": split}) for t in plan.tiers]
    elif spoil == "split not told":
        changed["tiers"] = [t.model_copy(update={"split": None}) for t in plan.tiers]
    elif spoil == "postage left out":
        changed["costs"] = [line for line in plan.costs if line.what != "extra postage"]
    elif spoil == "dearer postage":
        sets = campaign(extra_postage=3)
    else:
        changed["costs"] = [
            line.model_copy(update={"amount": 1.5 * line.amount}) if line.what == "lateness" else line
            for line in plan.costs
        ]
    if edits:
        at = {b.id: what for key, what in edits.items() for b in batches(plan, *key)}
        changed["batches"] = [b.model_copy(update=at.get(b.id, {})) for b in plan.batches]
    verdict = audit(sets, plan.model_copy(update=changed))
    assert rule in {one.rule for one in verdict.rules if not one.holds}
