"""The package as others install it: everything it needs at run time is in the wheel, and nothing else."""

import email
import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

import planner
from api.command.table import rows

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("api", "planner", "worker")


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    """Built from a copy of the tree, so that nothing is left in it."""
    source, out = tmp_path_factory.mktemp("source"), tmp_path_factory.mktemp("wheel")
    for name in PACKAGES:
        shutil.copytree(ROOT / name, source / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md", "LICENSE", "NOTICE"):
        shutil.copy(ROOT / name, source)
    build = "import sys, setuptools.build_meta as backend; backend.build_wheel(sys.argv[1])"
    done = subprocess.run([sys.executable, "-c", build, str(out)], cwd=source, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr[-2000:]
    [built] = out.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def unpacked(wheel, tmp_path_factory):
    """The wheel's files, where an installer would put them."""
    folder = tmp_path_factory.mktemp("site")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder)
    return folder


def test_every_file_of_the_packages_is_in_it_and_nothing_else(wheel):
    """Templates, sheets, migrations, the demo, the mark of types; no tests, no benchmarks."""
    with zipfile.ZipFile(wheel) as archive:
        packed = {name for name in archive.namelist() if ".dist-info/" not in name}
    there = {
        path.relative_to(ROOT).as_posix()
        for name in PACKAGES
        for path in (ROOT / name).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    assert packed == there
    assert {f"{name}/py.typed" for name in PACKAGES} <= packed
    assert "api/demo/herb-planter.json" in packed


def test_its_version_is_the_one_there_is_and_it_brings_the_command(unpacked):
    """The version stands in planner/__init__.py alone, and the changelog begins with it or with what is to come."""
    [info] = unpacked.glob("*.dist-info")
    metadata = email.message_from_string((info / "METADATA").read_text(encoding="utf-8"))
    assert metadata["Version"] == planner.__version__
    assert "shot-to-ship = api.command.__main__:main" in (info / "entry_points.txt").read_text()
    assert {path.name for path in (info / "licenses").iterdir()} == {"LICENSE", "NOTICE"}
    assert f"## {planner.__version__}" in (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")


def test_the_command_works_from_the_unpacked_wheel_alone(unpacked, tmp_path):
    """Away from the checkout: the help names every command, the demo is read, templates and sheets are found."""
    away = {key: value for key, value in os.environ.items() if key != "PYTHONPATH"} | {"PYTHONPATH": str(unpacked)}

    def python(*arguments):
        return subprocess.run(
            [sys.executable, *arguments], cwd=tmp_path, env=away, capture_output=True, text=True, check=True
        ).stdout

    called = ("-c", "import sys, api.command.__main__ as c; sys.argv[0] = 'shot-to-ship'; sys.exit(c.main())")
    told = python(*called, "--help")
    assert told.startswith("usage: shot-to-ship")
    assert all(f" {row.name} " in told for row in rows())
    assert python(*called, "--version").strip() == planner.__version__
    look = (
        "import json, planner, api.demo, worker.records.migrate, api.pages.templating, api.pictures.drawing as d;"
        "print(planner.read(json.loads(api.demo.DEMO.read_text())).name, api.demo.__file__);"
        "d.environment.get_template('floor.svg'); api.pages.templating.environment.get_template('home.html')"
    )
    assert str(unpacked) in python("-c", look)
