"""A process that ends when its parent does, and not before (Linux, `prctl(2)`: PR_SET_PDEATHSIG)."""

import subprocess
import sys

import pytest

pytestmark = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="the signal is Linux's own")

CHILD = """
import sys
from worker.parents import die_with_parent
die_with_parent()
print("lives", flush=True)
sys.stdin.read()
print("is left", flush=True)
"""
PARENT = f"""
import subprocess, sys
subprocess.Popen([sys.executable, "-c", {CHILD!r}]).wait()
"""


def begun(code: str) -> "subprocess.Popen[str]":
    process = subprocess.Popen(
        [sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )  # fmt: skip
    assert process.stdout is not None
    assert process.stdout.readline() == "lives\n"
    return process


def test_it_lives_as_long_as_its_parent() -> None:
    """It reads to the end of what it is given, and ends in peace."""
    child = begun(CHILD)
    assert child.communicate(timeout=120)[0] == "is left\n"
    assert child.returncode == 0


def test_it_ends_with_its_parent() -> None:
    """Nothing is left that could read what we still hold open when the parent is killed."""
    parent = begun(PARENT)
    parent.kill()
    parent.wait()
    assert parent.communicate(timeout=120)[0] == ""
