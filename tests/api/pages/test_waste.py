"""What a plan throws away: each of its lines once."""

from types import SimpleNamespace

import pytest

from api.pages.waste import waste_of


def line(**said):
    return SimpleNamespace(**said)


def test_lines_are_added_up():
    """Compound is purge; fewer good parts than are wanted are no surplus."""
    amounts = {
        "purge material": 8.0,
        "purging compound": 2.0,
        "start-up material": 5.0,
        "disposal": 1.5,
        "labour": 90.0,
    }
    plan = line(
        purge_kg=3.5, costs=[line(what=what, amount=amount) for what, amount in amounts.items()],
        materials=[line(startup_kg=0.5, regrind_kg=0.25), line(startup_kg=1.0, regrind_kg=0.0)],
        balance=[line(surplus=4.0), line(surplus=-3.0), line(surplus=0.5)],
    )  # fmt: skip
    found = waste_of(plan)
    assert (found.kg, found.purge_kg, found.startup_kg, found.regrind_kg) == (5.0, 3.5, 1.5, 0.25)
    assert (found.purge_money, found.startup_money, found.disposal_money) == (10.0, 5.0, 1.5)
    assert found.money == pytest.approx(16.5)
    assert (found.unused_money, found.surplus) == (0.0, 4.5)


def test_a_plan_that_wastes_nothing():
    found = waste_of(line(purge_kg=0.0, costs=[], materials=[], balance=[]))
    assert (found.kg, found.money, found.unused_money, found.surplus) == (0.0, 0.0, 0.0, 0.0)
