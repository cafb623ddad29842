"""The maps for developers are of this tree: every path they name is there, and no folder is left out."""

import re
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
FOLDERS, RULES = ROOT / "DEVELOPERS.md", ROOT / "docs" / "code" / "rules.md"
NAMED = re.compile(r"`((?:[a-z_]+/)*[a-z_]+(?:/|\.(?:py|md|typ|svg))?)`")
LAYERS = ("planner", "worker", "api")


def rows(text: str) -> list[list[str]]:
    """The cells of all its tables' rows."""
    return [line.strip("|").split("|") for line in text.splitlines() if line.startswith("| ")]


def paths_in(cell: str) -> list[Path]:
    """What a cell names: a name without its folder is in the folder of the one before it."""
    found: list[Path] = []
    for name in NAMED.findall(cell):
        if name.split("/")[0] in LAYERS:
            found.append(ROOT / name)
        elif found:
            found.append(found[-1].parent / name)
    return found


def test_what_a_map_names_is_there():
    """Files and folders alike."""
    both = FOLDERS.read_text(encoding="utf-8") + RULES.read_text(encoding="utf-8")
    named = [path for row in rows(both) for cell in row for path in paths_in(cell)]
    assert len(named) > 80
    assert [str(path.relative_to(ROOT)) for path in named if not path.exists()] == []


def test_no_folder_is_left_out():
    """Each folder of the layers stands in it."""
    named = {path for row in rows(FOLDERS.read_text(encoding="utf-8")) for path in paths_in(row[0])}
    folders = [
        folder
        for layer in LAYERS
        for folder in (ROOT / layer).iterdir()
        if folder.is_dir() and (folder / "__init__.py").exists()
    ]
    assert [str(folder.relative_to(ROOT)) for folder in folders if folder not in named] == []


def test_no_two_files_of_tests_have_one_name():
    """Folders of tests are no packages: of two files of one name the second cannot be read in a run of all."""
    files = [path for path in (ROOT / "tests").rglob("test_*.py") if not (path.parent / "__init__.py").exists()]
    assert len(files) > 200
    seen = Counter(path.name for path in files)
    assert [name for name, times in seen.items() if times > 1] == []
