"""Random workshops: hours of people, dryers, others' work, melts that must not stand; a sample of the benchmark."""

import pytest

from benchmarks.floor_plans import look


@pytest.mark.parametrize("seed", [1000, 1003, 1023, 1040])
def test_a_workshop_is_planned_and_nothing_of_it_is_wrong(seed: int) -> None:
    """1023: parts that others break off are begun when they were, though each alone draws less from its dryer."""
    looked = look(seed)
    assert looked.wrong == []
    assert looked.outcome in ("planned", "refused"), looked.why


def test_most_are_planned() -> None:
    assert look(1023).outcome == "planned"
