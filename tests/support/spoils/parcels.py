"""Spoils between the packing bench and the pick-up (A10)."""

import copy
from datetime import date, datetime, timedelta

from tests.support.spoils.ways import NoPlace, Spoilt, first, later, spoils


@spoils("A10")
def parcel_dropped(s: Spoilt) -> None:
    batch = s.plan["batches"][0]
    batch["parcels"] -= 1
    batch["lines"][0]["count"] -= 1


@spoils("A10")
def parcel_sent_twice(s: Spoilt) -> None:
    s.plan["batches"][0]["lines"].append({"line": s.plan["batches"][0]["lines"][0]["line"], "count": 1})


@spoils("A10")
def batch_dropped(s: Spoilt) -> None:
    s.plan["batches"].pop()


@spoils("A10")
def order_nobody_placed(s: Spoilt) -> None:
    s.plan["batches"][0]["lines"][0]["line"] = len(s.campaign["orders"])


@spoils("A10")
def orders_of_two_lines_swapped(s: Spoilt) -> None:
    """Each line keeps its count, but its parcels hold what another one ordered."""
    for one in s.plan["batches"]:
        for other in s.plan["batches"]:
            if one["contents"] != other["contents"]:
                one["lines"], other["lines"] = other["lines"], one["lines"]
                return
    raise NoPlace


@spoils("A10")
def batch_in_two_dispatches(s: Spoilt) -> None:
    for dispatch in s.plan["dispatches"][1:]:
        dispatch["batches"].append(s.plan["dispatches"][0]["batches"][0])
        return
    s.plan["dispatches"][0]["batches"].append(s.plan["dispatches"][0]["batches"][0])


@spoils("A10")
def batch_left_behind(s: Spoilt) -> None:
    s.plan["dispatches"][-1]["batches"].pop()


@spoils("A10")
def batch_that_names_another_dispatch(s: Spoilt) -> None:
    s.plan["batches"][0]["dispatch"] = "unheard-of"


@spoils("A10")
def dispatch_on_no_pick_up_day(s: Spoilt) -> None:
    dispatch = s.plan["dispatches"][-1]
    s.campaign["pick_ups"]["not_on"].append(dispatch["at"][:10])


@spoils("A10")
def dispatch_at_another_hour(s: Spoilt) -> None:
    dispatch = s.plan["dispatches"][-1]
    dispatch["at"] = later(dispatch["at"], 1800)


@spoils("A10")
def dispatch_before_packing(s: Spoilt) -> None:
    """A day before the last batch is packed becomes the pick-up that takes it."""
    batch = s.plan["batches"][-1]
    dispatch = first(s.plan["dispatches"], lambda dispatch: batch["id"] in dispatch["batches"])
    day = date.fromisoformat(batch["end"][:10]) - timedelta(days=1)
    s.campaign["pick_ups"]["on_dates"].append(day.isoformat())
    dispatch["at"] = day.isoformat() + dispatch["at"][10:]


@spoils("A10")
def dispatch_over_capacity(s: Spoilt) -> None:
    largest = max(dispatch["parcels"] for dispatch in s.plan["dispatches"])
    if largest < 2:
        raise NoPlace
    s.campaign["pick_ups"]["parcels"] = largest - 1


@spoils("A10")
def batch_waits_though_there_is_room(s: Spoilt) -> None:
    s.campaign["pick_ups"]["parcels"] = 1_000_000
    dispatch = s.plan["dispatches"][-1]
    dispatch["at"] = (date.fromisoformat(dispatch["at"][:10]) + timedelta(days=28)).isoformat() + dispatch["at"][10:]


@spoils("A10")
def dispatch_counts_its_parcels_wrong(s: Spoilt) -> None:
    s.plan["dispatches"][0]["parcels"] += 1


@spoils("A10")
def batch_larger_than_is_packed_in_one_go(s: Spoilt) -> None:
    largest = max(batch["parcels"] for batch in s.plan["batches"])
    if largest < 2:
        raise NoPlace
    s.campaign["packing"]["batch_parcels"] = largest - 1


@spoils("A10")
def batch_for_the_wrong_region(s: Spoilt) -> None:
    s.plan["batches"][0]["region"] = "elsewhere"


@spoils("A10")
def one_colourway_too_many_in_the_parcel(s: Spoilt) -> None:
    for colourways in s.plan["batches"][0]["contents"].values():
        for colourway in colourways:
            colourways[colourway] += 1
            return
    raise NoPlace


@spoils("A10")
def leaflet_left_out_of_the_parcel(s: Spoilt) -> None:
    first(s.plan["batches"], lambda batch: batch["pieces"])["pieces"].popitem()


@spoils("A10")
def two_batches_of_one_name(s: Spoilt) -> None:
    s.plan["batches"].append(copy.deepcopy(s.plan["batches"][0]))


@spoils("A10")
def tier_told_an_earlier_date(s: Spoilt) -> None:
    s.plan["tiers"][0]["last_dispatch"] = later(s.plan["tiers"][0]["last_dispatch"], -7 * 86400)


@spoils("A10")
def tier_not_told_at_all(s: Spoilt) -> None:
    s.plan["tiers"].pop()


@spoils("A10")
def late_parcels_played_down(s: Spoilt) -> None:
    first(s.plan["tiers"], lambda tier: tier["late_parcels"] > 0)["late_parcels"] -= 1


@spoils("A10")
def two_dispatches_of_one_name(s: Spoilt) -> None:
    twin = copy.deepcopy(s.plan["dispatches"][-1])
    twin["at"], twin["batches"], twin["parcels"] = later(twin["at"], 7 * 86400), [], 0
    s.plan["dispatches"].append(twin)


@spoils("A10")
def two_dispatches_on_one_pick_up(s: Spoilt) -> None:
    twin = copy.deepcopy(s.plan["dispatches"][-1])
    twin["id"], twin["batches"], twin["parcels"] = twin["id"] + "-twin", [], 0
    s.plan["dispatches"].append(twin)


@spoils("A10")
def dispatch_of_a_batch_nobody_packed(s: Spoilt) -> None:
    s.plan["dispatches"][0]["batches"].append("unheard-of")


@spoils("A10")
def pick_up_moment_with_another_offset(s: Spoilt) -> None:
    dispatch = s.plan["dispatches"][0]
    dispatch["at"] = datetime.fromisoformat(later(dispatch["at"], 5 * 3600)).isoformat()[:19] + "+05:00"


@spoils("A10")
def promised_day_put_off(s: Spoilt) -> None:
    s.plan["tiers"][0]["promised"] = "2049-01-01"


@spoils("A10")
def batch_said_to_go_with_another_carrier(s: Spoilt) -> None:
    s.plan["batches"][0]["carrier"] = "somebody else"


@spoils("A10")
def region_told_of_that_has_no_promise_of_its_own(s: Spoilt) -> None:
    tier = first(s.plan["tiers"], lambda tier: not tier["regions"])
    tier["regions"] = [
        {
            "region": next(batch["region"] for batch in s.plan["batches"] if batch["tier"] == tier["tier"]),
            "parcels": 1, "promised": tier["promised"], "last_dispatch": tier["last_dispatch"], "at_the_door": None,
            "late_parcels": 0, "days_late": 0,
        }
    ]  # fmt: skip


@spoils("A10")
def batch_said_to_have_a_day_more(s: Spoilt) -> None:
    batch = first(s.plan["batches"], lambda batch: batch["hand_over_by"])
    batch["hand_over_by"] = str(date.fromisoformat(batch["hand_over_by"]) + timedelta(days=1))
