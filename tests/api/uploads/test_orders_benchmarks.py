"""The order benchmarks run at their smallest size and print what they promise."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[3]


@pytest.mark.parametrize(
    ("name", "size", "printed"),
    [
        ("orders_in", "200", "200 rows in = 198 lines + 2 aside"),
        ("orders_spoiled", "1", "stray_quotes"),
        ("orders_explosion", "100", "100 order lines"),
        ("messy_orders", "1", "none refunded"),
    ],
)
def test_benchmark_runs(name: str, size: str, printed: str) -> None:
    """As a person would start it, from the top of the repository."""
    run = subprocess.run(
        [sys.executable, "-m", f"benchmarks.{name}", size], cwd=ROOT, capture_output=True, text=True, timeout=120
    )
    assert run.returncode == 0, run.stderr
    assert printed in run.stdout
