"""docs/code/ways.md: every way of making that campaigns are drawn with has a row, and every test it names is there."""

import ast
from pathlib import Path

from benchmarks.ways import WAYS, WISHES

ROOT = Path(__file__).parent.parent


NOT_TIMED = {
    "several campaigns", "price breaks by the piece", "price breaks by weight", "material of a trial", "legs",
    "steps until a tool is ready", "orders that open later", "a second supplier", "deposits and balances",
    "spares", "spare units", "blocked cavities", "regrind", "votes", "first trials",
    "cartons", "carriers' limits",
}  # fmt: skip
"""Ways that no order of work is timed by."""


def rows() -> dict[str, list[str]]:
    """Way -> the tests of its row, in a table for what an order of work is timed by or one for what it is not."""
    lines = (ROOT / "docs" / "code" / "ways.md").read_text(encoding="utf-8").splitlines()
    cells = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines if line.startswith("| ")]
    return {first: [test.strip("`") for test in tests] for first, *tests in cells if first != "way"}


def functions(file: Path) -> set[str]:
    return {node.name for node in ast.parse(file.read_text(encoding="utf-8")).body if isinstance(node, ast.FunctionDef)}


def kinds(file: Path, name: str) -> tuple[str, ...]:
    """What a test is run for, where that is every kind of wish."""
    found = ast.parse(file.read_text(encoding="utf-8")).body
    (test,) = [node for node in found if isinstance(node, ast.FunctionDef) and node.name == name]
    return (
        WISHES
        if any(ast.unparse(one) == "pytest.mark.parametrize('kind', WISHES)" for one in test.decorator_list)
        else ()
    )


def test_every_way_has_a_row() -> None:
    assert set(WAYS) | NOT_TIMED <= {name.split(",")[0] for name in rows()}
    assert not set(WAYS) & NOT_TIMED


def test_every_cell_names_a_test() -> None:
    for way, tests in rows().items():
        assert len(tests) == (3 if way.split(",")[0] in NOT_TIMED else 4), way
        for test in tests:
            file, _, called = test.partition("::")
            name, _, kind = called.rstrip("]").partition("[")
            assert name.startswith("test_"), (way, test)
            assert name in functions(ROOT / "tests" / file), (way, test)
            assert not kind or kind in kinds(ROOT / "tests" / file, name), (way, test)


def test_each_kind_of_wish_has_a_row() -> None:
    told = {cell.rstrip("]").partition("[")[2] for way, tests in rows().items() if "wishes," in way for cell in tests}
    assert told == set(WISHES)
