"""Every benchmark still finds what it measures: nothing else runs most of them."""

import importlib
import sys
from pathlib import Path

import pytest

BENCHMARKS = sorted(path.stem for path in (Path(__file__).parents[2] / "benchmarks").glob("[a-z]*.py"))


@pytest.mark.parametrize("name", BENCHMARKS)
def test_a_benchmark_loads(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "path", [*sys.path])  # some put the checkout in front
    importlib.import_module(f"benchmarks.{name}")
