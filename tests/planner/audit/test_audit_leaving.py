"""Plans with several carriers, pallets, promises to the door and waves, spoilt: the auditor catches each (A10, A12)."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest

from tests.support.spoils.by_hand import Json, broken_by


def of_batch(number: int, **changes: Any) -> Callable[[Json], None]:
    return lambda plan: plan["batches"][number].update(changes)


def of_dispatch(number: int, **changes: Any) -> Callable[[Json], None]:
    return lambda plan: plan["dispatches"][number].update(changes)


def carrier_everywhere(name: str) -> Callable[[Json], None]:
    """All that leaves says it goes with that carrier."""

    def spoil(plan: Json) -> None:
        for line in (*plan["batches"], *plan["dispatches"]):
            line["carrier"] = name

    return spoil


def a_week_sooner(plan: Json) -> None:
    """The sailing leaves on a day on which there is none."""
    house = next(one for one in plan["dispatches"] if one["carrier"].startswith("house"))
    house["at"] = (datetime.fromisoformat(house["at"]) - timedelta(days=7)).isoformat()


@pytest.mark.parametrize(
    "spoil",
    [
        of_batch(0, carrier="courier"),
        of_batch(0, carrier="nobody"),
        of_batch(0, carrier=""),
        of_dispatch(0, carrier="post"),
        of_dispatch(0, carrier="nobody"),
        carrier_everywhere("courier"),
        carrier_everywhere("post"),
    ],
)
def test_who_takes_a_parcel_is_looked_at(spoil: Callable[[Json], None]) -> None:
    assert "A10" in broken_by("carriers-with-their-own-days", spoil)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda asked: asked["carriers"]["courier"].update(to=["NZ"]),
        lambda asked: asked["carriers"]["courier"].update(max_kg=0.5),
        lambda asked: asked["carriers"]["courier"]["pick_ups"].update(parcels=29),
        lambda asked: asked["carriers"]["courier"]["pick_ups"].update(days=["wed"]),
        lambda asked: asked["carriers"]["courier"]["pick_ups"].update(time="12:00"),
        lambda asked: asked["carriers"]["post"]["rates"][0]["steps"][1].update(price=2.9),
    ],
)
def test_a_plan_for_other_carriers_is_looked_at(spoil: Callable[[Json], None]) -> None:
    """Where one does not go there, takes less, comes on other days, or is dearer than another."""
    assert "A10" in broken_by("carriers-with-their-own-days", None, spoil)


@pytest.mark.parametrize(
    ("spoil", "rule"),
    [
        (a_week_sooner, "A10"),
        (of_batch(0, hand_over_by="2027-03-12"), "A10"),
        (of_batch(0, hand_over_by=None), "A10"),
        (lambda plan: plan["tiers"][0]["regions"].pop(), "A10"),
        (lambda plan: plan["tiers"][0]["regions"][0].update(at_the_door="2027-03-07"), "A10"),
        (lambda plan: plan["tiers"][0]["regions"][0].update(promised="2027-03-13"), "A10"),
        (lambda plan: plan["tiers"][0].update(promised_to="hand-over"), "A10"),
        (lambda plan: plan.update(costs=[line for line in plan["costs"] if line["what"] != "pallets"]), "A12"),
        (lambda plan: plan.update(cash=[line for line in plan["cash"] if line["of"] != "pallets"]), "A12"),
    ],
)
def test_what_is_said_of_the_way_abroad_is_looked_at(spoil: Callable[[Json], None], rule: str) -> None:
    assert rule in broken_by("house-abroad", spoil)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda asked: asked["carriers"]["house in Ohio"]["legs"][0].update(days=[24, 32]),
        lambda asked: asked["tiers"]["one"]["promised_in"].update(us="2027-03-11"),
        lambda asked: asked["tiers"]["one"].update(promised_to="hand-over"),
    ],
)
def test_a_plan_for_another_way_is_looked_at(spoil: Callable[[Json], None]) -> None:
    assert "A10" in broken_by("house-abroad", None, spoil)


def test_pallets_are_counted_anew() -> None:
    assert "A12" in broken_by(
        "house-abroad", None, lambda a: a["carriers"]["house in Ohio"]["pallets"].update(parcels=45)
    )


def test_a_wave_that_leaves_too_soon_is_seen() -> None:
    """Either tier in the other's place."""

    def turned(asked: Json) -> None:
        asked["tiers"]["early bird"]["wave"], asked["tiers"]["later"]["wave"] = 2, 1

    assert "A10" in broken_by("waves", None, turned)


def test_waiting_for_no_wave_is_seen() -> None:
    assert "A10" in broken_by("waves", None, lambda asked: asked["tiers"]["later"].pop("wave"))
