"""Each purge benchmark runs at its smallest size and prints its table."""

import runpy
import sys
from pathlib import Path

import pytest

BENCHMARKS = Path(__file__).resolve().parents[3] / "benchmarks"


@pytest.mark.parametrize(
    ("name", "arguments", "words"),
    [
        ("purge_orders", ["--palettes", "4", "--largest", "5"], "light to dark over best"),
        ("purge_matrix", ["--colours", "3", "--barrels", "1", "--repeats", "1"], "ratio"),
        ("purge_factor", ["--seeds", "2"], "matrix error after"),
    ],
)
def test_benchmark_prints_its_table(
    name: str, arguments: list[str], words: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "argv", [name, *arguments])
    runpy.run_path(str(BENCHMARKS / f"{name}.py"), run_name="__main__")
    assert words in capsys.readouterr().out
