"""Who starts and tends the others, or asks a service elsewhere, loads none of what they need."""

import subprocess
import sys

import pytest

HEAVY = ("fastapi", "numpy", "numba", "celery", "planner.campaign", "planner.plan")


@pytest.mark.parametrize("module", ["api.__main__", "api.command.__main__"])
def test_nothing_heavy_is_loaded(module: str) -> None:
    """It stays for as long as the service runs, beside everything else."""
    program = f"import sys, {module}; print([name for name in {HEAVY!r} if name in sys.modules])"
    said = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True).stdout
    assert said.strip() == "[]"
