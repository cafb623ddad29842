"""The auditor shares nothing with whoever makes a plan: only the two documents."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[3]
FOLDER = ROOT / "planner" / "audit"
ALLOWED = ("planner.audit", "planner.campaign", "planner.plan.document")
BARRED = ("planner.reading.checks",)
PLAIN = {
    "bisect",
    "collections",
    "dataclasses",
    "datetime",
    "fractions",
    "functools",
    "itertools",
    "math",
    "typing",
    "hashlib",
}
PLAIN |= {"heapq", "statistics", "unicodedata", "zoneinfo"}
BORROWED = {"chance": {"numpy", "pydantic"}, "colour_change": {"coloraide"}}
"""Other people's libraries: a law of scrap is read and its quadrature added up; tables of light and colour spaces are
those of a reference library, which the planner reads too."""


def imported_modules(source: str) -> set[str]:
    """Every module a source names, `from a import b` as both a and a.b."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "relative imports hide what is shared"
            names.add(node.module or "")
            names |= {f"{node.module}.{alias.name}" for alias in node.names}
    return names


def within(name: str, packages: tuple[str, ...]) -> bool:
    """Whether a module is one of the packages or inside one."""
    return any(name == package or name.startswith(package + ".") for package in packages)


def shared_with_the_maker(source: str) -> set[str]:
    """What a source imports of planner/ beyond the documents."""
    return {
        name
        for name in imported_modules(source)
        if within(name, ("planner",)) and (not within(name, ALLOWED) or within(name, BARRED))
        # `from planner.audit import x` names planner.audit.x; a bare parent is only the road to an allowed module
    }


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.py")), ids=lambda path: path.stem)
def test_auditor_imports_only_the_documents(path: Path) -> None:
    """Nothing of planner/ but the campaign's document, the plan's document and the auditor itself."""
    assert shared_with_the_maker(path.read_text()) == set()


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.py")), ids=lambda path: path.stem)
def test_auditor_is_plain_python(path: Path) -> None:
    """No solver: the standard library only, and what is named for a module."""
    outside = {name.split(".")[0] for name in imported_modules(path.read_text())} - {"planner"}
    assert outside <= PLAIN | BORROWED.get(path.stem, set())


@pytest.mark.parametrize(
    "line",
    [
        "import planner.schedule",
        "from planner.calendars import stretches",
        "from planner.reading.checks import problems",
        "from planner.reading import checks",
        "from planner.planning import make",
        "from planner import demand",
    ],
)
def test_the_rule_can_fail(line: str) -> None:
    """Each way of borrowing from the maker is seen."""
    assert shared_with_the_maker(line)


def test_there_is_an_auditor_to_look_at() -> None:
    """One module for each rule."""
    rules = {path.stem[:3] for path in FOLDER.glob("a[0-9][0-9]_*.py")}
    assert rules == {f"a{n:02}" for n in range(1, 15)}
