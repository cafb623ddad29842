"""Who starts and tends the others, or asks a service elsewhere, loads none of what they need; the API no search."""

import subprocess
import sys

import pytest

HEAVY = ("fastapi", "numpy", "numba", "celery", "planner.campaign", "planner.plan")


SEARCH = ("scipy.optimize", "scipy.special", "ortools", "pandas", "planner.schedule.search")
"""What only whoever searches for plans needs: a hundred megabytes."""


@pytest.mark.parametrize(
    ("module", "heavy"),
    [("api.__main__", HEAVY), ("api.command.__main__", (*HEAVY, "sqlalchemy")), ("api.app", SEARCH)],
)
def test_nothing_heavy_is_loaded(module: str, heavy: tuple[str, ...]) -> None:
    """It stays for as long as the service runs, beside everything else."""
    program = f"import sys, {module}; print([name for name in {heavy!r} if name in sys.modules])"
    said = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True).stdout
    assert said.strip() == "[]"
