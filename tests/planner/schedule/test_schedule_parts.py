"""The benchmark of the search's parts leaves out what it says, and runs at its smallest size."""

import ast
from pathlib import Path

import pytest

from benchmarks.schedule_parts import EVERYTHING, PARTS, ROOT, costs, line, measured, without


@pytest.mark.parametrize("part", sorted(PARTS))
def test_each_part_can_be_left_out(part: str, tmp_path: Path) -> None:
    """Each line to change stands where it is said to, once; what comes of it is Python, and nothing else differs."""
    without(part, tmp_path)
    changed = set()
    for source in (ROOT / "planner" / "schedule").rglob("*.py"):
        copied = tmp_path / source.relative_to(ROOT)
        if copied.read_text() != source.read_text():
            changed.add(source.name)
            assert ast.dump(ast.parse(copied.read_text())) != ast.dump(ast.parse(source.read_text()))
    assert changed == {name for name, _, _ in PARTS[part]}
    assert (part == EVERYTHING) == (not changed)


def test_a_search_of_moments() -> None:
    """First and last plan's cost of one campaign; against itself every ratio is 1."""
    found = costs({"XS": 0.2}, 1)
    ((first, last),) = found["XS"]
    assert 0 < last <= first
    assert line("all", found, found).split() == ["all", "XS", "1.0000", "[1.0000", "1.0000]", "first", "1.0000"]


def test_a_process_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    """The changed copy starts by its command line and answers; no campaign, and not compiled, for speed."""
    monkeypatch.setenv("NUMBA_DISABLE_JIT", "1")
    assert measured("cross", {"XS": 0.1}, 0) == {}
