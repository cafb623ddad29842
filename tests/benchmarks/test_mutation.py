"""The mutation check makes the faults it says, each in a file that can still be read, with tests near to it."""

import ast
from pathlib import Path

import pytest

from benchmarks import mutation
from benchmarks.mutation import LAYERS, ROOT, Fault, faults, named, nearest


def test_the_named_faults_are_still_of_these_sources():
    """Each text they change stands there once."""
    assert len({fault.title for fault in named()}) == 11


@pytest.fixture(scope="module")
def drawn() -> list[Fault]:
    """The named ones and ten more of each layer."""
    return faults(21, 41)


def test_the_same_seed_draws_the_same_faults_over_all_layers(drawn: list[Fault]):
    """At most one a file."""
    assert drawn[:20] == faults(21, 20)
    assert drawn[:20] != faults(22, 20)
    assert len({fault.path for fault in drawn}) == 41
    assert all(sum(fault.path.startswith(f"{layer}/") for fault in drawn) >= 10 for layer in LAYERS)


def test_a_new_file_moves_none_of_the_others(tmp_path: Path):
    """Nor do lines that are added to a file move its own fault."""
    for layer in LAYERS:
        (tmp_path / layer).mkdir()
        for n in range(9):
            text = f"def of(a):\n    b = a + {n}\n    return b < 3 and b > {n}\n"
            (tmp_path / layer / f"one{n}.py").write_text(text, encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(mutation, "NAMED", ())
        before = {fault.said(tmp_path).split(" ", 1)[1] for fault in faults(5, 15, tmp_path)}
        (tmp_path / "api" / "new.py").write_text("def of(a):\n    return a + 1\n", encoding="utf-8")
        for file in tmp_path.rglob("one*.py"):
            file.write_text("def before(a):\n    print(a)\n\n\n" + file.read_text(encoding="utf-8"), encoding="utf-8")
        after = {fault.said(tmp_path).split(" ", 1)[1] for fault in faults(5, 15, tmp_path)}
    assert len(before - after) <= 1


def test_a_fault_is_another_program_and_has_tests_near(drawn: list[Fault]):
    """It can be read, and does not say the same."""
    for fault in drawn:
        whole = (ROOT / fault.path).read_bytes()
        spoiled = whole[: fault.begin] + fault.new.encode() + whole[fault.end :]
        assert ast.dump(ast.parse(spoiled)) != ast.dump(ast.parse(whole)), fault.said()
        assert nearest(fault.path, 4), fault.path


def test_tests_that_import_the_module_come_first():
    """Then those of the folder above that has any."""
    assert "tests/planner/demand/test_shots.py" in nearest("planner/demand/shots.py", 2)
    assert "tests/planner/schedule/test_stop.py" in nearest("planner/schedule/stop/budgets.py", 2), "by its package"
    assert nearest("planner/reading/checks/customs.py", 9)[0].startswith("tests/planner/reading/")
    assert "tests/api/pages/test_what_if_page.py" in nearest("api/pages/whatif.py", 2), "one word for three"


def test_tests_of_other_folders_that_bear_its_name_are_near():
    """A table's statements are often tested through the service; a layer's tests cannot notice what lies above it."""
    assert "tests/api/purge/test_purge_log.py" in nearest("worker/records/purge_log.py", 6)
    for path in ("worker/records/part_claims.py", "api/service/refusals.py"):
        assert not any(test.startswith("tests/planner/") for test in nearest(path, 99))


def test_tests_that_ask_at_an_address_of_the_module_are_near():
    """They import the service alone; what lies below a route is asked through it, too."""
    assert "tests/api/plans/test_planned_as_read.py" in nearest("api/actuals/again.py", 4), "`/plan-again`"
    assert "tests/api/studies/test_studies_over_http.py" in nearest("api/services/updates.py", 6), "`/update`"
