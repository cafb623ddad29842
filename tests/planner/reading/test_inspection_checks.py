"""AQLs that the sampling tables of ISO 2859-1 know."""

import pytest
from spoiling import problems

from planner.quality.schemes import AQLS


def found(aql: float) -> list[tuple[str, str]]:
    given = {"parts shell inspection": {"defects": {"flash": {"aql": aql}}}}
    said = [one for one in problems(given) if one.pointer.endswith("/aql")]
    assert all(one.pointer == "/parts/shell/inspection/defects/flash/aql" for one in said)
    return [(one.message, one.remedy) for one in said]


@pytest.mark.parametrize("aql", AQLS)
def test_every_column_of_the_table_is_one(aql: float) -> None:
    assert found(aql) == []


def test_between_two_columns_the_stricter_is_named_first() -> None:
    """2 lies between 1.5 and 2.5: 1.5 lets through no more than what was asked for."""
    ((message, remedy),) = found(2.0)
    assert "AQL 2 for `flash` of part `shell` is not one of the sampling table's" in message
    assert remedy.startswith("use 1.5, or another of 0.01, 0.015, 0.025")


def test_below_the_first_column_the_first_is_named() -> None:
    ((_, remedy),) = found(0.005)
    assert remedy.startswith("use 0.01, or")
