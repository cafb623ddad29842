"""The mutation check makes the faults it says, each in a file that can still be read, with tests near to it."""

import ast

from benchmarks.mutation import FLOORS, ROOT, faults, named, nearest


def test_the_named_faults_are_still_of_these_sources():
    """Each text they change stands there once."""
    assert len({fault.title for fault in named()}) == 11


def test_the_same_seed_draws_the_same_faults_over_all_floors():
    """Sixty, at most one a file."""
    drawn = faults(21, 60)
    assert drawn == faults(21, 60)
    assert drawn != faults(22, 60)
    assert len({fault.path for fault in drawn}) == 60
    assert all(sum(fault.path.startswith(f"{floor}/") for fault in drawn) >= 15 for floor in FLOORS)


def test_a_fault_is_another_program_and_has_tests_near():
    """It can be read, and does not say the same."""
    for fault in faults(21, 60):
        whole = (ROOT / fault.path).read_bytes()
        spoiled = whole[: fault.begin] + fault.new.encode() + whole[fault.end :]
        assert ast.dump(ast.parse(spoiled)) != ast.dump(ast.parse(whole)), fault.said()
        assert nearest(fault.path, 4), fault.path


def test_tests_that_import_the_module_come_first():
    """Then those of the folder above that has any."""
    assert "tests/planner/demand/test_shots.py" in nearest("planner/demand/shots.py", 2)
    assert nearest("planner/reading/checks/customs.py", 9)[-1].startswith("tests/planner/reading/")
