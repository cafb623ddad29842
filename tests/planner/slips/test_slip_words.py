"""What a slip means in words, at the edges: half a unit of money, one order, nobody better off by planning again."""

import pytest

from planner.slips.document import Cell, TierChange
from planner.slips.words import number, slack_words, slip_words, tiers_words


def change(tier: str = "pair", days: int = 6, late: int = 4) -> TierChange:
    """It leaves so many days later, so many after the promised day."""
    return TierChange(
        tier=tier, before="2027-03-01", after="2027-03-07", days=days, promised="2027-03-03", days_late=late
    )


def cell(**given) -> Cell:
    usual = {
        "kind": "tool", "name": "shell", "days": 10, "policy": "nothing else changes", "possible": True,
        "audited": True, "cost": 0.0, "cost_change": 0.0, "purge_kg_change": 0.0, "runs_moved": 0,
        "tiers": [change()],
    }  # fmt: skip
    return Cell.model_validate(usual | given)


def said(kept: Cell, anew: Cell | None = None) -> list[str]:
    """What stands behind the slip itself."""
    begin, _, rest = slip_words("tool", "shell", kept, anew, "EUR").partition(": ")
    assert begin == "Ten days on the shell tool"
    assert rest.endswith(".")
    return rest[:-1].split("; ")


@pytest.mark.parametrize(("money", "words"), [(0.49, 0), (0.5, 1), (-0.5, 1), (-0.49, 0), (80.0, 1)])
def test_money_is_said_from_half_a_unit_on(money, words):
    """Less than it would be rounded to nothing."""
    found = said(cell(cost_change=money))
    assert found[0] == "pair leaves 6 days later (4 days late)"
    assert len(found) == 1 + words
    assert not words or found[1].endswith("more" if money > 0 else "less")


@pytest.mark.parametrize(("saved", "words"), [(0.49, "planning again does not help"), (0.5, "wins back no day but")])
def test_money_that_planning_again_saves_is_said_from_half_a_unit_on(saved, words):
    """Where it saves no day; where it does, the day comes first."""
    kept = cell(cost_change=10.0)
    assert words in said(kept, cell(cost_change=10.0 - saved))[-1]
    sooner = said(kept, cell(cost_change=10.0 - saved, tiers=[change(days=5)]))[-1]
    assert sooner.startswith("planning again wins back 1 day")
    assert (" and " in sooner) == (saved >= 0.5)


def test_people_who_wait_are_said():
    """One is one; nobody is not said."""
    assert said(cell(people=1, longest_days=2))[1] == "one order waits up to 2 days longer"
    assert said(cell(people=1200, longest_days=1))[1] == "1,200 orders wait up to 1 day longer"
    assert len(said(cell(people=0, longest_days=0))) == 1


@pytest.mark.parametrize(
    ("kept", "anew", "words"),
    [
        ((3, 5), (2, 5), "planned again one order fewer waits"),
        ((3, 5), (1, 5), "planned again 2 orders fewer wait"),
        ((3, 5), (3, 4), "planned again nobody waits more than 4 days longer"),
        ((3, 5), (3, 5), "planning again does not help"),
        ((3, 5), (4, 6), "planning again does not help"),
    ],
)
def test_what_planning_again_does_for_people(kept, anew, words):
    """Fewer of them, or none as long; neither is no help."""
    ours, theirs = (cell(people=people, longest_days=longest) for people, longest in (kept, anew))
    assert said(ours, theirs)[-1] == words


def test_what_cannot_be_carried_out_is_said_as_that():
    """Nor does planning anew help where it cannot be either."""
    ends = "the order of work as planned cannot be carried out any more"
    assert said(cell(possible=False)) == [ends]
    assert said(cell(possible=False), cell(possible=False)) == [ends]
    assert said(cell(possible=False), cell()) == [ends, "planned anew it can"]
    assert said(cell(), cell(possible=False)) == said(cell())


def test_nobody_moved_needs_no_help():
    """A tier that leaves earlier or as planned is not said to be helped."""
    assert said(cell(tiers=[change(days=0)]), cell(tiers=[change(days=0)])) == ["every tier leaves as planned"]
    assert said(cell(tiers=[change(days=-1, late=0)]), cell(tiers=[change(days=-1, late=0)])) == [
        "pair leaves 1 day earlier"
    ]


@pytest.mark.parametrize(
    ("kind", "thing"),
    [("piece", "deliveries of x"), ("resin", "resin x"), ("colour", "masterbatch x"), ("tool", "the x tool")],
)
def test_what_slips_is_named(kind, thing):
    """A single day is a day."""
    assert slip_words(kind, "x", cell(days=1), None, "EUR").startswith(f"One day on {thing}: ")
    assert slip_words(kind, "x", cell(days=13), None, "EUR").startswith(f"13 days on {thing}: ")


def test_numbers_to_twelve_are_words():
    """What is below zero is none of them."""
    assert [number(n) for n in (-1, 0, 1, 12, 13)] == ["-1", "no", "one", "twelve", "13"]


def test_slack_is_said_where_there_is_any():
    """Nothing is said where the first day does harm."""
    assert slack_words(None) == "As far as was looked, nobody is late."
    assert slack_words(0) == ""
    assert slack_words(1) == "Up to 1 day late make nobody late."


@pytest.mark.parametrize(
    ("tiers", "words"),
    [
        ([("a", 0, 0)], "every tier leaves as planned"),
        ([("a", 2, 2), ("b", 0, 0)], "a leaves 2 days late; b unchanged"),
        ([("a", 2, 0), ("b", 0, 0), ("c", 0, 0)], "a leaves 2 days later; b and c unchanged"),
        ([("a", 2, 1), ("b", 0, 0), ("c", 0, 0), ("d", 0, 3)], "a leaves 2 days later (1 day late); others unchanged"),
        ([("a", -2, 5), ("b", -2, 3)], "a and b leave 2 days earlier"),
        ([("a", 2, 2), ("b", 2, 1)], "a leaves 2 days late, b leaves 2 days later (1 day late)"),
    ],
)
def test_tiers_that_stay_are_named_up_to_two(tiers, words):
    """Three are others."""
    assert tiers_words([change(*one) for one in tiers]) == words
