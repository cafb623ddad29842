"""At which heat each resin goes into a barrel: what suits what is there and what comes, or nothing where that is not
known."""

from types import SimpleNamespace

import pytest

from planner.campaign.unknown_melts import UNKNOWN
from planner.plan.heats import between_heats, goes_in
from planner.reading import read
from tests.planner.audit.test_audit_heat import document

MELTS = ["pe/clear", "pc/smoke", "pom/clear", "pc/clear", UNKNOWN]
PE, PC, POM, CLEAR_PC, NOBODY_KNOWS = range(5)


@pytest.fixture(scope="module")
def names():
    return SimpleNamespace(campaign=read(document()), melt=lambda n: MELTS[n])


def said(goes):
    return [(one.resin, one.least_c, one.most_c) for one in goes]


def test_what_goes_in_is_hot_enough_for_both(names):
    """PE flows from 182 to 274 °C, PC from 271 to 321: by hand."""
    assert said(goes_in(names, PE, PC)) == [("pc", 271, 274)]


def test_a_bridge_goes_in_first(names):
    """Then what comes, at what suits the bridge and it: acetal flows from 190 and stands 230."""
    assert said(goes_in(names, PC, POM, "pe")) == [("pe", 271, 274), ("pom", 190, 230)]


@pytest.mark.parametrize(("old", "new"), [(PC, CLEAR_PC), (PE, PE), (NOBODY_KNOWS, PC)])
def test_nothing_is_said_where_the_resin_stays_or_nobody_knows_what_is_there(names, old, new):
    assert goes_in(names, old, new) == []


def test_between_two_heats_stands_what_each_survives(names):
    """Not where the resin stays; of what nobody knows only what comes is said."""
    between = between_heats(names, PE, POM)
    assert between is not None
    assert between.set_c == between_heats(names, PC, POM).set_c
    assert between.from_c == between_heats(names, PE, PC).from_c
    assert between_heats(names, PC, CLEAR_PC) is None
    assert between_heats(names, NOBODY_KNOWS, PC).from_c is None
