"""Plans as documents: those written before a figure stood in them say it all the same, where it follows."""

import pytest
from pydantic import ValidationError

from planner.plan.document import Outcome
from tests.support.pot_plan import pot_plan


def older(**changes: object) -> dict[str, object]:
    """An outcome of before the avoidable gap: of 100, 40 can be avoided; no plan costs less than 90."""
    told = pot_plan().outcome.model_dump(mode="json")
    del told["avoidable_gap"]
    return told | {"total": 100.0, "lower_bound": 90.0, "avoidable": 40.0} | changes


def test_an_older_outcome_says_how_much_of_what_can_be_avoided_is_left() -> None:
    assert Outcome.model_validate(older()).avoidable_gap == pytest.approx(10 / 40)


@pytest.mark.parametrize("name", ["total", "lower_bound", "avoidable"])
def test_one_that_lacks_a_figure_is_refused_by_its_name(name: str) -> None:
    """Not by a sum that cannot be made."""
    with pytest.raises(ValidationError, match=name):
        Outcome.model_validate(older(**{name: None}))
    with pytest.raises(ValidationError):
        Outcome.model_validate(older(**{name: "many"}))


def test_what_is_no_outcome_is_refused() -> None:
    with pytest.raises(ValidationError):
        Outcome.model_validate([1, 2])
