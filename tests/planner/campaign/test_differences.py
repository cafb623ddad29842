"""What is not the same in two documents, in words: each value once, at most a dozen said, the rest counted."""

import pytest

from planner.campaign.differences import MOST_SAID, differences, differences_said


def tools(number: int, cycle: int) -> dict[str, object]:
    return {"tools": {f"t{n}": {"cycle_s": cycle} for n in range(number)}}


@pytest.mark.parametrize(("changed", "more"), [(1, 0), (11, 0), (12, 0), (13, 1), (20, 8)])
def test_a_dozen_changes_are_said_and_the_rest_is_counted(changed, more):
    """Exactly a dozen leave nothing to count."""
    said = differences_said(tools(changed, 45), tools(changed, 38)).split("; ")
    assert said[: min(changed, 12)] == [f"tools, t{n}, cycle_s: 45, now 38" for n in range(min(changed, 12))]
    assert said[12:] == ([f"and {more} more"] if more else [])
    assert MOST_SAID == 12


def test_orders_are_counted_and_come_first():
    """As many lines with other things in them are other orders; the order of work is no difference."""
    one, two = [{"count": 1}], [{"count": 2}]
    assert differences_said({"orders": one}, {"orders": two}) == "other orders"
    assert differences_said({"orders": one * 1200}, {"orders": []}) == "1,200 order lines, now 0"
    assert differences_said({"orders": one, "a": 1}, {"orders": [], "a": 2}) == "1 order lines, now 0; a: 1, now 2"
    begun = {"planning": {"begin_from": ["x"], "rounds": 2}}
    assert differences_said(begun, {"planning": {"begin_from": [], "rounds": 2}}) == ""
    assert differences_said(begun, {"planning": {"rounds": 3}}) == "planning, rounds: 2, now 3"


@pytest.mark.parametrize(
    ("was", "now", "said"),
    [
        (1, None, "a: 1, now nothing"),
        (None, [1], "a: nothing, now another list"),
        ({}, 3, "a: other entries, now 3"),
        ("x" * 60, "y" * 61, f"a: {'x' * 60}, now {'y' * 59}…"),
        ([1, 2], [1, 3], "a, 2: 2, now 3"),
        ({"b/c": 1}, {"b/c": 2}, "a, b/c: 1, now 2"),
    ],
)
def test_values_are_said_short(was, now, said):
    """Places in lists count from one; sixty letters stand as they are."""
    assert differences_said({"a": was}, {"a": now}) == said


def test_lists_of_another_length_are_one_difference():
    """Of the same length they are compared entry by entry, keys of both documents in turn."""
    assert list(differences({"a": [1, 2], "b": 1}, {"c": 2, "a": [1]})) == [
        ("/a", [1, 2], [1]),
        ("/b", 1, None),
        ("/c", None, 2),
    ]
