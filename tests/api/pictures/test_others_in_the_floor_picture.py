"""Others' work in the picture of the floor: drawn otherwise than closed hours, and said in words."""

from api.pictures.floor.picture import floor_svg
from tests.planner.plan.test_others_work import TUESDAY, document, planned


def test_others_hours_are_crossed_and_what_nobody_knows_is_drawn_so() -> None:
    """A purge of an unknown melt has no colour to show; a plan without others says nothing of them."""
    campaign, plan = planned(document([TUESDAY | {"leaves": []}]))
    drawn = floor_svg(plan, campaign).replace("&#39;", "'")
    assert "others' work on p" in drawn
    assert "crossed: others' work" in drawn
    assert "from unknown melt to pp/white" in drawn
    campaign, plan = planned(document([]))
    assert "crossed" not in floor_svg(plan, campaign)
