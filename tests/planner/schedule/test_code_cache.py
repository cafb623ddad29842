"""Compiled code is found again by what the sources say, not by where they lie."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

from planner.schedule.code_cache import SOURCES, PlaceInThePackage, keep_apart


def test_a_file_is_named_by_its_place_below_the_package() -> None:
    inside = SOURCES / "branch_and_bound" / "exact.py"
    assert PlaceInThePackage.get_suitable_cache_subpath(str(inside)) == "branch_and_bound_exact"


def test_code_from_elsewhere_is_left_to_numba() -> None:
    assert PlaceInThePackage.from_function(test_code_from_elsewhere_is_left_to_numba, __file__) is None


def test_setting_it_again_changes_nothing() -> None:
    from numba.core import config

    before = config.CACHE_DIR, config.CACHE_LOCATOR_CLASSES
    state = keep_apart()
    assert before == (config.CACHE_DIR, config.CACHE_LOCATOR_CLASSES)
    assert config.CACHE_DIR.endswith(state)


def test_a_copied_checkout_finds_what_the_first_one_compiled(tmp_path: Path) -> None:
    """The folder and the name of a function's cached code are equal in two copies, and differ for other sources."""
    ask = (
        "from planner.schedule.press_order import reorder\n"
        "print(reorder._cache._impl.locator.get_cache_path(), reorder._cache._impl.filename_base)"
    )
    told = []
    for name in ("first", "second", "changed"):
        folder = tmp_path / name
        shutil.copytree(SOURCES.parent, folder / "planner", ignore=shutil.ignore_patterns("__pycache__"))
        if name == "changed":
            with (folder / "planner" / "schedule" / "rng.py").open("a") as file:
                file.write("\n# said otherwise\n")
        env = os.environ | {"PYTHONPATH": str(folder), "NUMBA_CACHE_DIR": str(tmp_path / "kept")}
        env.pop("NUMBA_DISABLE_JIT", None)
        out = subprocess.run(
            [sys.executable, "-c", ask], env=env, capture_output=True, text=True, check=True, cwd=folder
        )
        told.append(out.stdout)
    assert told[0] == told[1] != told[2]
