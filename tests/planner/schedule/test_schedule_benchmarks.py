"""The benchmarks run at their smallest size, and the planner is never worse than the rule of thumb there."""

import random
from itertools import permutations
from pathlib import Path

import numpy as np
import pytest

from benchmarks.customer_orders import asked, drawn, least_weighted
from benchmarks.generator import sized
from benchmarks.plain_annealing import annealed
from benchmarks.published import chosen, table
from benchmarks.rule_of_thumb import measured
from benchmarks.scale_checks import agreement, proofs, repeated, stop_latencies
from benchmarks.scale_growth import growth, write_growth
from benchmarks.scale_run import one_run
from benchmarks.schedule_bounds import stages
from benchmarks.schedule_scale import series
from planner.control import Unhurried
from planner.schedule.encode import compile_campaign
from planner.schedule.search import Budget, search


def test_scale_series_at_its_smallest(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Two seeds: a first plan, gaps at the marks, ratios to the rule, memory; a growth table and a plot of both."""
    rows = series(["XS"], [1, 2], 0.5, [60.0], run=one_run)
    for row in rows:
        for known in row["at"].values():
            assert 0 <= known["avoidable gap"] <= 1
            assert known["to rule"] <= 1
        assert row["MiB"] > 0
    said = capsys.readouterr().out
    assert "XS, 2 seeds: median, worst" in said
    write_growth(rows, tmp_path)
    assert (tmp_path / "growth.csv").read_text().splitlines()[1].startswith("XS,10,2,")
    assert (tmp_path / "growth.svg").read_text().count("<circle") == 1 + (growth(rows)[0][4] is not None)


def test_engine_checks_at_their_smallest() -> None:
    """The same again, a stop, a proof, money the auditor agrees with."""
    assert repeated("XS", 1, rounds=1, times=2) == 2
    assert len(stop_latencies("XS", 1, [0.05])) == 1
    assert "of 1 proven" in proofs("XS", range(1, 2), 0.5)
    assert agreement(2, rounds=1).startswith("evaluator and audited total: 2 random campaigns, largest difference 0.00")


def test_never_worse_than_the_rule_of_thumb() -> None:
    """Three small campaigns, a few rounds each."""
    for seed in range(3):
        pair = measured(sized("XS", seed), rounds=3)
        assert pair is not None
        assert pair[1]["cost"] <= pair[0]["cost"] + 1e-6


def test_never_worse_than_annealing_in_its_plainest_form() -> None:
    """Two rounds, some two thousand plans timed, against 2,000 plans of one plain cooling; which itself gains."""
    for number in (1, 2):
        inst, _ = compile_campaign(sized("XS", number))
        first, plain, timed = annealed(inst, lambda timed: timed / 2_000, 1)
        assert timed == 2_000
        assert plain < first
        assert search(inst, Budget(2, 1, 0.0, bound_effort=0), Unhurried()).objective <= plain + 1e-6


def test_published_instances_are_read_from_a_folder(tmp_path: Path) -> None:
    """A tour of four colours written down as TSPLIB does, found at its optimum."""
    far = np.array([[9, 1, 5, 5], [5, 9, 1, 5], [5, 5, 9, 1], [1, 5, 5, 9]])
    (tmp_path / "atsp").mkdir()
    rows = "\n".join(" ".join(map(str, row)) for row in far)
    text = f"NAME: br17\nDIMENSION: 4\nEDGE_WEIGHT_SECTION\n{rows}\nEOF\n"
    (tmp_path / "atsp" / "br17.atsp").write_text(text)
    (row,) = table(chosen(tmp_path, ["atsp"], most=1, names=[]), seconds=2.0)
    assert (row.family, row.ours, row.ended) == ("atsp", 4, "proven")


def test_optimum_of_customer_orders() -> None:
    """By sets as by every order of orders; the shared example's 69 (brute-forced there); the engine finds them all."""
    assert least_weighted([[3, 4, 5, 2], [6, 2, 5, 7]], [1, 2, 1, 3]) == 69
    draw = random.Random(2)
    for _ in range(5):
        pieces = [[draw.randint(1, 99) for _ in range(6)] for _ in range(3)]
        weights = [draw.randint(1, 10) for _ in range(6)]
        by_hand = min(
            sum(weights[n] * max(sum(row[m] for m in order[: k + 1]) for row in pieces) for k, n in enumerate(order))
            for order in permutations(range(6))
        )
        assert least_weighted(pieces, weights) == by_hand
        found = search(asked(pieces, weights), Budget(40, 1, 0.0), Unhurried())
        assert found.objective == pytest.approx(by_hand)
    ((name, inst, optimum),) = drawn(range(1, 2))
    assert (name, inst.run_tool.size, optimum > 0) == ("orders_15_3_1", 45, True)


def test_bounds_rise_stage_by_stage() -> None:
    """Of one campaign: each stage that is told gained something, and none is above the plan."""
    shares = [share for _, share, _ in stages("XS", 1, rounds=1, effort=0.5)]
    assert len(shares) >= 3
    assert shares == sorted(shares)
    assert 0.8 < shares[0] < shares[-1] <= 1
