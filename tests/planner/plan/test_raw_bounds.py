"""Bounds, before they are cut off at what a plan costs, beside plans found without them; `benchmarks.raw_bounds`."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from benchmarks import raw_bounds
from benchmarks.raw_bounds import looked_at
from planner.schedule.bounds.press_hours import LowerBound

SAMPLE = [("tiny", 3), ("tiny", 52), ("tiny", 481), ("small", 0), ("small", 2), ("odd", 1), ("ways", 3)]


@pytest.mark.parametrize(("kind", "seed"), SAMPLE)
def test_no_plan_lies_below_a_bound(kind: str, seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(raw_bounds, "PLAIN", 500)
    monkeypatch.setattr(raw_bounds, "ROUNDS", 1)
    looked = looked_at(kind, seed)
    assert looked is not None
    assert looked.wrong == ""
    assert 0.0 < looked.bound.money <= looked.plan.money + raw_bounds.CENT


def test_a_bound_too_high_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """By two cents, where the optimum is known by going through every plan."""
    thought = raw_bounds.thought

    def higher(*given: Any) -> Iterator[tuple[LowerBound, Any]]:
        for better, order in thought(*given):
            yield replace(better, total=better.total + 0.02), order

    looked = looked_at("tiny", 3)
    assert looked is not None
    assert looked.met
    monkeypatch.setattr(raw_bounds, "thought", higher)
    again = looked_at("tiny", 3)
    assert again is not None
    assert "a plan costs" in again.wrong
