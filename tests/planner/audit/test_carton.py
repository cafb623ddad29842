"""A parcel in its carton by the auditor's own reading (B3): bowls of 200 x 200 x 120 mm, a lid of 10 mm, boxes."""

from typing import Any

import pytest

from planner.audit.carton import carton_troubles
from planner.plan.document import PackBatch
from planner.plan.outgoing import Laid, ParcelBox
from tests.support.carton_campaign import campaign

Spot = tuple[int, int, int]
BOWL = Laid(thing="bowl", at_mm=(0, 0, 0), sides_mm=(200, 200, 120))
LID = Laid(thing="lid", at_mm=(0, 0, 120), sides_mm=(200, 200, 10))


def troubles(*layout: Laid, carrier: dict[str, Any] | None = None, **changes: Any) -> list[str]:
    """Of a bowl in the small box, 210 x 210 x 130 mm inside, 250 + 5 + 100 g; with a lid of 40 g where one is laid."""
    lid = {"lid": 1} if any(one.thing == "lid" for one in layout) else {}
    box = ParcelBox(
        carton="small-box", inside_mm=(210, 210, 130), outside_mm=(218, 218, 138), gross_kg=0.395 if lid else 0.355,
        volumetric_kg=0, charged_kg=0, layout=list(layout),
    ).model_copy(update=changes)  # fmt: skip
    batch = PackBatch.model_construct(contents={"bowl": {"cream": 1}}, carrier="", box=box)
    asked = campaign()
    asked = asked.model_copy(update={"carrier": asked.carrier.model_copy(update=carrier or {})})
    return list(carton_troubles(asked, "small-box", batch, {"leaflet": 1, "small-box": 1, **lid}))


def test_what_lies_inside_and_apart_is_fine() -> None:
    """Side against side, and a lid on the bowl up to the box's own."""
    assert troubles(BOWL) == []
    assert troubles(BOWL.model_copy(update={"at_mm": (10, 10, 10)})) == []
    assert troubles(BOWL, LID) == []


@pytest.mark.parametrize("at", [(11, 0, 0), (0, 11, 0), (0, 0, 11), (-1, 0, 0), (0, -1, 0), (0, 0, -1)])
def test_a_millimetre_beyond_a_side_sticks_out(at: Spot) -> None:
    assert troubles(BOWL.model_copy(update={"at_mm": at})) == ["`bowl` sticks out of the carton"]


def test_what_must_stand_does_not_lie() -> None:
    assert "`bowl` must stand, and lies" in troubles(BOWL.model_copy(update={"sides_mm": (120, 200, 200)}))


def test_nothing_lies_in_anothers_place() -> None:
    """A millimetre of the lid in the bowl."""
    assert troubles(BOWL, LID.model_copy(update={"at_mm": (0, 0, 119)})) == ["`bowl` and `lid` lie in the same place"]


def test_all_of_it_is_laid_once() -> None:
    assert troubles() == ["its layout holds 0 things, not the 1 of the order"]
    assert len(troubles(BOWL, BOWL.model_copy(update={"thing": "lid"}))) > 0


def test_its_weight_is_that_of_all_that_is_in_it() -> None:
    """A gram more or less is seen."""
    assert troubles(BOWL, gross_kg=0.356) == ["its parcels weigh 0.355 kg, not 0.356"]
    assert troubles(BOWL, LID, gross_kg=0.355) == ["its parcels weigh 0.395 kg, not 0.355"]


@pytest.mark.parametrize(
    ("limit", "most", "what"),
    [
        ("max_kg", 0.355, "(carrier)"),
        ("longest_mm", 218, "(carrier's length)"),
        ("girth_mm", 218 + 2 * (218 + 138), "(carrier's girth)"),
    ],
)
def test_a_carriers_limit_is_the_most_it_takes(limit: str, most: float, what: str) -> None:
    """218 x 218 x 138 mm outside, 0.355 kg."""
    assert troubles(BOWL, carrier={limit: most}) == []
    (said,) = troubles(BOWL, carrier={limit: most - (0.001 if limit == "max_kg" else 1)})
    assert what in said


def test_another_box_than_is_shown() -> None:
    assert troubles(BOWL, carton="big-box") == ["no box is shown for carton `small-box`"]
    assert troubles(BOWL, outside_mm=(218, 218, 139)) == ["carton `small-box` is not of the size shown"]
