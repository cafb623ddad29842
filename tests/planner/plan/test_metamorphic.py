"""Campaigns changed in ways whose effect on the least cost is known; `benchmarks.metamorphic` has many more."""

import random

import pytest

from benchmarks.metamorphic import ALIKE, EASIER, Planned, broken, campaign_document, dearer, renamed
from planner.reading import read


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_changes_do_to_the_least_cost_what_they_must(seed: int) -> None:
    """Other names, orders of lists, units of money and weeks change nothing; more room makes nothing dearer."""
    assert broken(seed) == []


def test_what_would_break_it_is_seen() -> None:
    """A bound above what was already planned for less; twice the money is no fault where all money is doubled."""
    assert dearer(Planned("optimal", 10.0, 10.0), Planned("optimal", 10.1, 10.1), 1.0)
    assert not dearer(Planned("optimal", 10.0, 10.0), Planned("feasible", 10.1, 9.9), 1.0)
    assert not dearer(Planned("optimal", 10.0, 10.0), Planned("optimal", 20.0, 20.0), 2.0)
    assert not dearer(Planned("Infeasible"), Planned("optimal", 1.0, 1.0), 1.0)


def test_changed_documents_are_campaigns_and_differ() -> None:
    """Otherwise nothing would be compared."""
    data = campaign_document(1)
    before = read(data)
    changed = {name: change for name, (change, _) in ALIKE.items()} | EASIER
    same = [name for name, change in changed.items() if read(change(random.Random(name), data)) == before]
    assert set(same) <= {"lists permuted", "a tool earlier"}
    assert not set(read(renamed(random.Random("x"), data)).tools) & set(before.tools)
