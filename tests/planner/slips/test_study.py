"""Rows of a slip table in the order in which they matter."""

from planner.slips.document import Cell, SlipRow
from planner.slips.study import in_order

ROW = {"kind": "tool", "slack_days": 3, "verdict": "breaks", "harm": 5.0, "words": ""}


def row(name, waiting=(), other=(), **said):
    def cell(days, policy):
        return Cell.model_construct(policy=policy, waiting_days=days)

    cells = [cell(days, "nothing else changes") for days in waiting] + [cell(days, "plan again") for days in other]
    return SlipRow.model_construct(**(ROW | {"name": name, "cells": cells} | said))


def names(*rows):
    return [one.name for one in in_order(list(rows))]


def test_first_what_cannot_be_carried_out():
    assert names(row("waits", [900]), row("cannot", harm=None)) == ["cannot", "waits"]


def test_then_by_the_days_that_people_wait_where_nothing_else_changes():
    """The worst of a row's slips counts, and what another policy would do does not; a row without cells waits for
    nobody, as one in which nobody waits."""
    assert names(row("few", [4, 2], [90]), row("many", [1, 5])) == ["many", "few"]
    assert names(row("none", [0]), row("blank")) == ["blank", "none"]
    assert names(row("blank"), row("one", [1])) == ["one", "blank"]


def test_then_by_money_then_by_slack_then_by_name():
    """What may slip further than was looked at comes last; a day less slack comes first."""
    assert names(row("cheap", [1], harm=1.0), row("dear", [1], harm=2.0)) == ["dear", "cheap"]
    assert names(row("free", [1], harm=0.0), row("dear", [1], harm=0.5)) == ["dear", "free"]
    assert names(row("far", slack_days=None), row("most", slack_days=60), row("near", slack_days=1)) == [
        "near", "most", "far",
    ]  # fmt: skip
    assert names(row("b"), row("a"), row("c", kind="piece")) == ["c", "a", "b"]
