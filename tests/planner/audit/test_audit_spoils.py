"""Mutation check: every way to spoil a good plan is caught by the right rule, and no check of the auditor is idle."""

import sys
from collections import Counter
from dataclasses import dataclass, field

import pytest

from planner.audit import audit
from planner.audit.findings import Findings
from tests.support.assertions import assert_plan_holds, broken_rules
from tests.support.nudges import leaves, nudged
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan
from tests.support.sampled import sampled
from tests.support.spoils import WAYS, Way, spoil


def test_there_are_ways_enough_for_every_rule() -> None:
    """Distinct ways, several for each rule."""
    assert len({way.name for way in WAYS}) == len(WAYS) >= 150
    assert all(Counter(way.rule for way in WAYS)[f"A{n}"] >= 4 for n in range(1, 13))


def test_the_untouched_plan_holds() -> None:
    """Otherwise no way of spoiling it would show anything."""
    assert_plan_holds(pot_campaign(), pot_plan())


@dataclass
class Watched:
    """What each way of spoiling breaks, and the places where the auditor found what it expects, and where not."""

    broken: dict[str, set[str]] = field(default_factory=dict)
    held: set[str] = field(default_factory=set)
    failed: set[str] = field(default_factory=set)


@pytest.fixture(scope="module")
def watched() -> Watched:
    """The plan worked by hand spoilt in every way, once for all tests of this file: there each way finds a place."""
    seen = Watched()
    expect = Findings.expect

    def told(self: Findings, holds: bool, otherwise: str) -> bool:
        caller = sys._getframe(1)
        place = f"{caller.f_code.co_filename.rpartition('/')[2]}:{caller.f_lineno}"
        (seen.held if holds else seen.failed).add(place)
        return expect(self, holds, otherwise)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Findings, "expect", told)
        audit(pot_campaign(), pot_plan())
        for way in WAYS:
            seen.broken[way.name] = broken_rules(*spoil(way, pot_campaign(), pot_plan()))
    return seen


@pytest.mark.parametrize("way", WAYS, ids=lambda way: f"{way.rule}-{way.name}")
def test_a_spoilt_plan_is_caught(watched: Watched, way: Way) -> None:
    assert way.rule in watched.broken[way.name]


def test_no_figure_moment_or_name_can_be_nudged() -> None:
    """Each value of the plan a rule speaks of, changed by the least that matters, breaks a rule."""
    paths = leaves(pot_plan())
    assert len(paths) > 400
    tried = sampled(paths, 3)
    unseen = [path for path in tried if not broken_rules(pot_campaign(), nudged(pot_plan(), path))]
    assert unseen == []


def test_every_check_of_the_auditor_can_fail(watched: Watched) -> None:
    """Each place where the auditor expects something is made to fail by at least one way: none is idle."""
    assert len(watched.failed) > 60
    assert watched.held - watched.failed == set()
