"""Where resins break down or need one between them: bounds below every plan, proofs equal to trying every plan."""

from collections import Counter

from benchmarks.floor_campaigns import floor_document
from tests.planner.schedule.few_plans import proven, small_instances

SEEDS = (0, 27, 109, 110, 116, 124, 155, 163, 198)


def test_proofs_and_bounds_hold_where_resins_break_down() -> None:
    """The branching ends proven at the twin's optimum, and the bound is not above it."""
    seen: Counter[str] = Counter()
    for seed, inst in small_instances(floor_document, lambda inst: bool(inst.clearing or inst.bridging), 30, SEEDS):
        if proven(seed, inst) is None:
            continue
        seen["bridged"] += inst.bridging
        seen["cleared"] += inst.clearing
        seen["campaigns"] += 1
    assert seen["campaigns"] >= len(SEEDS) // 2, seen
    assert seen["bridged"] > 2, seen
    assert seen["cleared"] > 2, seen
