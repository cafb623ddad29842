"""Compiled code is found again by what the sources say, not by where they lie."""

import ast
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from numba.core import caching, dispatcher

from planner.schedule import code_cache
from planner.schedule.code_cache import SOURCES, PlaceInThePackage, keep_apart, made_from
from planner.schedule.instance import packed_instance
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import timing_for
from planner.schedule.warm import smallest_instance

PACKAGE = {
    "planner/__init__.py": "",
    "planner/schedule/__init__.py": "",
    "planner/schedule/loop.py": "from planner.schedule import near\nfrom planner.schedule.tables import ROWS\n",
    "planner/schedule/near.py": "try:\n    pass\nexcept OSError:\n    if 1:\n        import planner.weights\n",
    "planner/schedule/tables.py": "def later():\n    from .far.constants import ONE\n    return ONE\n",
    "planner/schedule/far/__init__.py": "",
    "planner/schedule/far/constants.py": "from ..loop import again\nONE = 1\n",
    "planner/weights.py": "KG = 1\n",
    "planner/schedule/other.py": "import numpy\nTWO = 2\n",
}


def test_a_file_is_named_by_its_place_below_the_package() -> None:
    inside = SOURCES / "branch_and_bound" / "branching.py"
    assert PlaceInThePackage.get_suitable_cache_subpath(str(inside)).startswith("branch_and_bound_branching_")


def test_code_from_elsewhere_is_left_to_numba() -> None:
    assert PlaceInThePackage.from_function(test_code_from_elsewhere_is_left_to_numba, __file__) is None


def test_setting_it_again_changes_nothing() -> None:
    from numba.core import config

    before = config.CACHE_DIR, config.CACHE_LOCATOR_CLASSES
    keep_apart()
    assert before == (config.CACHE_DIR, config.CACHE_LOCATOR_CLASSES)


@pytest.mark.parametrize(
    ("changed", "anew"),
    [
        ("schedule/loop.py", True),
        ("schedule/near.py", True),  # taken from its package by name
        ("weights.py", True),  # beside the folder, through another file, deep in its blocks
        ("schedule/tables.py", True),
        ("schedule/far/constants.py", True),  # named by its place nearby, inside a function; it leads back to the first
        ("schedule/other.py", False),
    ],
)
def test_code_is_kept_by_what_it_is_made_from(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, changed: str, anew: bool
) -> None:
    for name, text in PACKAGE.items():
        file = tmp_path / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text)
    monkeypatch.setattr(code_cache, "ROOT", tmp_path)
    loop = tmp_path / "planner" / "schedule" / "loop.py"
    before = made_from(loop)
    with (tmp_path / "planner" / changed).open("a") as file:
        file.write("# said otherwise\n")
    assert (made_from(loop) != before) == anew


def test_what_is_read_keeps_no_copy_to_be_linked() -> None:
    """It is machine code that goes on in a process that built nothing; LLVM's own language of it takes megabytes."""
    inst = smallest_instance()
    objective_of(packed_instance(inst), Solution.empty(inst), timing_for(inst))  # it is kept from now on at the latest
    ask = (
        "from planner.schedule.annealing import anneal\n"
        "from planner.schedule.instance import packed_instance\n"
        "from planner.schedule.solution import Solution, objective_of\n"
        "from planner.schedule.timing import timing_for\n"
        "from planner.schedule.warm import smallest_instance\n"
        "inst = smallest_instance()\n"
        "objective_of(packed_instance(inst), Solution.empty(inst), timing_for(inst))\n"
        "print(sum(anneal.stats.cache_hits.values()), [c.library._shared_module for c in anneal.overloads.values()])"
    )
    out = subprocess.run([sys.executable, "-c", ask], capture_output=True, text=True, check=True, cwd=code_cache.ROOT)
    assert out.stdout.split() == ["1", "[None]"]


def test_this_release_of_numba_has_the_names_held_on_to() -> None:
    """With the locked release; with others what is kept is read in Numba's own way."""
    assert hasattr(caching.FunctionCache, "_load_overload")
    assert hasattr(dispatcher.Dispatcher, "enable_caching")


def test_no_import_is_missed() -> None:
    """Of every file of the planner, beside what Python's own parser finds at any depth."""
    missed = {}
    files = list(SOURCES.parent.rglob("*.py"))
    assert len(files) > 100
    for file in files:
        package = file.relative_to(code_cache.ROOT).parent.parts
        found = set(code_cache._named(file, package))
        for node in ast.walk(ast.parse(file.read_bytes())):
            named: set[tuple[str, ...]] = set()
            if isinstance(node, ast.Import):
                named = {tuple(one.name.split(".")) for one in node.names}
            elif isinstance(node, ast.ImportFrom):
                assert node.module, file
                module = (*package[: len(package) - node.level + 1][: 99 * node.level], *node.module.split("."))
                named = {module, *((*module, one.name) for one in node.names)}
            if named - found:
                missed[file.name] = named - found
    assert missed == {}


@pytest.mark.parametrize(
    ("said", "named"),
    [
        ("from planner.a import (  # one (of two)\n    b,  # c\n    d as e,\n)\n", {"planner.a", "planner.a.d"}),
        ("from planner.a import b, \\\n    c\n", {"planner.a.b", "planner.a.c"}),
        ("if True: import planner.a\n", {"planner.a"}),
        ("one = 1; from planner import a\n", {"planner.a"}),
        ("from . import near\n", {"planner.schedule.near"}),
        ("from ..far import that\n", {"planner.far.that"}),
        ("import planner.a as a, planner.b\n", {"planner.a", "planner.b"}),
    ],
)  # fmt: skip
def test_imports_are_found_however_they_are_written(tmp_path: Path, said: str, named: set[str]) -> None:
    file = tmp_path / "file.py"
    file.write_text(said)
    found = {".".join(names) for names in code_cache._named(file, ("planner", "schedule"))}
    assert named <= found


def test_a_copied_checkout_finds_what_the_first_one_compiled(tmp_path: Path) -> None:
    """The folder and the name of a function's cached code are equal in two copies, and where a file changed that it is
    not made from; they differ where one changed that it is made from."""
    ask = (
        "from planner.schedule.press_order import reorder\n"
        "print(reorder._cache._impl.locator.get_cache_path(), reorder._cache._impl.filename_base)"
    )
    told = []
    for name, changed in (("first", ""), ("second", ""), ("aside", "annealing.py"), ("changed", "rng.py")):
        folder = tmp_path / name
        shutil.copytree(SOURCES.parent, folder / "planner", ignore=shutil.ignore_patterns("__pycache__"))
        if changed:
            with (folder / "planner" / "schedule" / changed).open("a") as file:
                file.write("\n# said otherwise\n")
        env = os.environ | {"PYTHONPATH": str(folder), "NUMBA_CACHE_DIR": str(tmp_path / "kept")}
        env.pop("NUMBA_DISABLE_JIT", None)
        out = subprocess.run(
            [sys.executable, "-c", ask], env=env, capture_output=True, text=True, check=True, cwd=folder
        )
        told.append(out.stdout)
    assert told[0] == told[1] == told[2] != told[3]
