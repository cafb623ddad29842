"""No test waits by sleeping: a sleep stands in a loop that asks whether what is waited for is there."""

import ast
from collections.abc import Iterator
from pathlib import Path

TESTS = Path(__file__).parent
DOUBLES = {"chaos.py", "planner_double.py"}
"""What plays a part: who breaks things now and then, and who plans for a while."""


def sleeps(tree: ast.AST, looping: bool = False) -> Iterator[int]:
    """Lines of sleeps outside a loop with a condition."""
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.Call) and not looping and ast.unparse(node.func).endswith("sleep"):
            yield node.lineno
        asks = isinstance(node, ast.While) and not isinstance(node.test, ast.Constant)
        within = looping and not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        yield from sleeps(node, within or asks)


def test_no_test_waits_by_sleeping() -> None:
    found = {
        f"{path.relative_to(TESTS)}:{line}"
        for path in sorted(TESTS.rglob("*.py"))
        if path.name not in DOUBLES
        for line in sleeps(ast.parse(path.read_text(encoding="utf-8")))
    }
    assert found == set()


def test_the_rule_sees_a_sleep() -> None:
    """Straight ahead, in a `for`, in a function within a loop; not where something is asked each time."""
    assert list(sleeps(ast.parse("time.sleep(1)"))) == [1]
    assert list(sleeps(ast.parse("for n in range(3):\n  sleep(1)"))) == [2]
    assert list(sleeps(ast.parse("while True:\n  sleep(1)"))) == [2]
    assert list(sleeps(ast.parse("while wanting():\n  def f():\n    sleep(1)\n"))) == [3]
    assert list(sleeps(ast.parse("while wanting():\n  if other:\n    sleep(1)\n"))) == []
