"""The benchmarks run at their smallest size, and the planner is never worse than the rule of thumb there."""

from pathlib import Path

import numpy as np

from benchmarks.generator import sized
from benchmarks.published import table
from benchmarks.rule_of_thumb import measured
from benchmarks.schedule_scale import series


def test_scale_series_at_its_smallest() -> None:
    """One row: a first plan, a gap, a ratio to the rule."""
    (row,) = series(["XS"], [0.5], seed=1)
    assert {"first plan s", "gap 0.5 s", "to rule 0.5 s", "MiB"} <= set(row)


def test_never_worse_than_the_rule_of_thumb() -> None:
    """Six small campaigns, a few rounds each."""
    for seed in range(6):
        pair = measured(sized("XS", seed), rounds=3)
        assert pair is not None
        assert pair[1]["cost"] <= pair[0]["cost"] + 1e-6


def test_published_instances_are_read_from_a_folder(tmp_path: Path) -> None:
    """A tour of four colours written down as TSPLIB does, found at its optimum."""
    far = np.array([[9, 1, 5, 5], [5, 9, 1, 5], [5, 5, 9, 1], [1, 5, 5, 9]])
    (tmp_path / "atsp").mkdir()
    rows = "\n".join(" ".join(map(str, row)) for row in far)
    text = f"NAME: br17\nDIMENSION: 4\nEDGE_WEIGHT_SECTION\n{rows}\nEOF\n"
    (tmp_path / "atsp" / "br17.atsp").write_text(text)
    (row,) = table(tmp_path, ["atsp"], seconds=2.0, most=1)
    assert row[2] == 4
    assert row[4] == "proven"
