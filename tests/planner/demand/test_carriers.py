"""Several carriers, promises and waves: which parcel goes with whom, what is refused, what leaving it out changes."""

from datetime import date
from typing import Any

import pytest

from examples.situations import campaign_of, plan_of
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.demand.carriers import way_for
from planner.demand.parcels import pack_batches
from planner.errors import CampaignProblems
from planner.planning.make import make_plan
from planner.reading import read

OWN_DAYS, HOUSE, WAVES = "carriers-with-their-own-days", "house-abroad", "waves"


def written(name: str) -> dict[str, Any]:
    return campaign_of(name).model_dump(mode="json", by_alias=True, exclude_unset=True)


def refused(data: dict[str, Any]) -> list[str]:
    """Pointers of the problems; each has a remedy."""
    with pytest.raises(CampaignProblems) as found:
        read(data)
    assert all(problem.remedy for problem in found.value.problems)
    return [problem.pointer for problem in found.value.problems]


@pytest.mark.parametrize(
    ("pots", "country", "carrier", "price", "door"),
    [(1, "GB", "post", 2.1, (1, 3)), (3, "GB", "courier", 3.0, (1, 1)), (3, "NZ", "post", 14.5, (7, 21)),
     (12, "GB", "courier", 3.0, (1, 1)), (30, "GB", "courier", 6.5, (1, 1)), (12, "NZ", None, None, None)],
)  # fmt: skip
def test_the_cheapest_that_goes_there_and_takes_it(
    pots: int, country: str, carrier: str | None, price: float | None, door: tuple[int, int] | None
) -> None:
    """180 g each. 12 are 2.16 kg, too much for the post; 30 are 5.4 kg, the courier's second step."""
    way = way_for(campaign_of(OWN_DAYS), "one", [("pot", pots)], [], country)
    if way is None:
        assert carrier is None
        return
    assert way.postage is not None
    assert (way.carrier, way.postage.price, way.door_days) == (carrier, price, door)


def test_of_equals_the_one_listed_first() -> None:
    data = written(OWN_DAYS)
    data["carriers"]["courier"]["rates"][0]["steps"][0]["price"] = 2.1
    assert {b.carrier for b in pack_batches(read(data)) if b.tier == "one"} == {"post"}


def test_legs_count_towards_the_door() -> None:
    """24 + 2 + 2 days at the least, 31 + 6 + 4 at the most."""
    way = way_for(campaign_of(HOUSE), "one", [("pot", 1)], [], "US")
    assert way is not None
    assert way.door_days == (28, 41)


def test_parcels_of_several_carriers_are_no_group() -> None:
    """The same three pots for two countries of one region, one of them the courier's."""
    data = written(OWN_DAYS)
    data["regions"] = {"near": ["GB", "DE"]}
    data["carriers"]["post"]["rates"][1]["to"] = ["DE"]
    data["orders"][3] = data["orders"][2] | {"country": "DE", "count": 5}
    three = [batch for batch in pack_batches(read(data)) if batch.tier == "three"]
    assert {(batch.carrier, batch.region) for batch in three} == {("courier", "near"), ("post", "near")}
    for batch in three:
        countries = {data["orders"][line]["country"] for line, _ in batch.lines}
        assert countries == ({"GB"} if batch.carrier == "courier" else {"DE"})


def test_a_region_is_promised_its_own_day() -> None:
    days = {(b.region, b.hand_over_by) for b in pack_batches(campaign_of(HOUSE))}
    assert days == {("us", date(2027, 1, 30)), ("world", date(2027, 2, 2))}


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        (lambda d: d.update(pick_ups={"days": ["mon"]}), "/pick_ups"),
        (lambda d: d.update(carrier={"max_kg": 3}), "/carrier"),
        (lambda d: d["carriers"]["courier"].pop("rates"), "/carriers/courier/rates"),
        (lambda d: d["carriers"]["courier"].update(to=["home"]), "/carriers/courier/to/0"),
        (lambda d: d["carriers"]["courier"].update(legs=[{"what": "truck", "days": [3, 1]}]),
         "/carriers/courier/legs/0/days"),
        (lambda d: d["carriers"]["post"]["rates"].pop(), "/carriers"),
        (lambda d: d["carriers"]["post"]["rates"][0].update(door_days=[4, 2]), "/carriers/post/rates/0/door_days"),
        (lambda d: d["tiers"]["one"].update(promised_in={"moon": "2027-03-01"}), "/tiers/one/promised_in/moon"),
        (lambda d: d["tiers"]["one"].update(promised=None, promised_to="door"), "/tiers/one/promised_to"),
        (lambda d: [d["tiers"]["one"].update(promised_to="door"), d["carriers"]["post"]["rates"][0].pop("door_days")],
         "/carriers/post/rates"),
    ],
)  # fmt: skip
def test_what_makes_no_sense_is_refused_where_it_stands(change: Any, pointer: str) -> None:
    data = written(OWN_DAYS)
    change(data)
    assert refused(data) == [pointer]


def test_leaving_a_carrier_out_changes_the_plan() -> None:
    """Without the courier all goes by post, on Tuesdays and Fridays: dearer, and the last leaves another day."""
    data = written(OWN_DAYS)
    del data["carriers"]["courier"]
    other, plan = make_plan(read(data), Unhurried()), plan_of(OWN_DAYS)
    assert other.outcome.total - plan.outcome.total == pytest.approx(60 * 0.4)
    assert {one.carrier for one in other.dispatches} == {"post"}


def test_leaving_waves_out_changes_the_plan() -> None:
    """Then what is packed on Monday leaves on Monday."""
    data = written(WAVES)
    for tier in data["tiers"].values():
        del tier["wave"]
    other = make_plan(read(data), Unhurried())
    first = min(other.dispatches, key=lambda sent: sent.at)
    assert first.parcels == 300 > min(plan_of(WAVES).dispatches, key=lambda sent: sent.at).parcels


def test_a_promise_to_the_door_changes_the_plan() -> None:
    """Promised three weeks sooner at the door abroad, it is late; promised so to the hand-over it is not."""
    data = written(HOUSE)
    for tier in data["tiers"].values():
        tier["promised_in"] = {"us": "2027-02-20"}
    door = make_plan(read(data), Unhurried())
    for tier in data["tiers"].values():
        tier["promised_to"] = "hand-over"
    handed = make_plan(read(data), Unhurried())
    assert [tier.days_late for tier in door.tiers] == [16, 16]  # 26 January, to be there in 41 days from 10 January
    assert [tier.days_late for tier in handed.tiers] == [0, 0]
    late = next(line.amount for line in door.costs if line.what == "lateness")
    assert late == pytest.approx(16 * 0.5 * 90)


def test_a_campaign_with_one_carrier_is_read_as_before() -> None:
    one = campaign_of("several-carriers")
    assert isinstance(one, Campaign)
    assert {batch.carrier for batch in pack_batches(one)} == {""}
