"""What is installed is what was locked, with hashes, under licences we may use, and none of it known to be bad.

All of it without a network. Whether a version has a published advisory is asked by `./run advisories`, where a
service can be reached; requirements/known-bad.txt is what is known without one.
"""

import ast
import importlib.metadata
import json
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from cyclonedx.model.bom import Bom
from packaging.markers import Marker
from packaging.requirements import Requirement
from packaging.specifiers import SpecifierSet
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parents[1]
LOCKS = ("serve", "test", "uv")
PINNED = re.compile(r"^([a-z0-9][a-z0-9._-]*)==([^\s;]+)(?:\s*;\s*(.*?))?$")

ALLOWED = {
    "0BSD", "Apache-2.0", "BSD", "BSD-2-Clause", "BSD-3-Clause", "CC0-1.0", "ISC", "LLVM-exception", "MIT", "MPL-2.0",
    "PSF-2.0", "Unlicense", "Zlib",
}  # fmt: skip
"""SPDX identifiers; MPL-2.0 asks for nothing as long as its files are not changed."""
AS_SPDX = {
    "MIT License": "MIT", "BSD License": "BSD", "3-Clause BSD License": "BSD-3-Clause",
    "Apache Software License": "Apache-2.0", "Mozilla Public License 2.0 (MPL 2.0)": "MPL-2.0",
    "ISC License (ISCL)": "ISC", "Python Software Foundation License": "PSF-2.0",
}  # fmt: skip
LOOKED_AT = {
    "psycopg": "LGPL-3.0-only: used unchanged, as a library that can be exchanged",
    "psycopg-binary": "LGPL-3.0-only: used unchanged, as a library that can be exchanged",
    "axe-playwright-python": "its metadata names none; MIT by its repository, with axe-core under MPL-2.0; tests only",
}


def entries(lock):
    """(name, version, marker or None, hashes) of each package in the lock."""
    text = (ROOT / "requirements" / f"{lock}.txt").read_text().replace("\\\n", " ")
    found = []
    for line in filter(None, map(str.strip, text.splitlines())):
        if line.startswith("#"):
            continue
        required, *hashes = re.split(r"\s+--hash=", line)
        match = PINNED.match(required.strip())
        assert match, f"{lock}: not pinned to one version: {required}"
        found.append((canonicalize_name(match[1]), match[2], match[3], [h.strip() for h in hashes]))
    return found


def here(marker):
    return marker is None or Marker(marker).evaluate()


@pytest.mark.parametrize("lock", LOCKS)
def test_every_package_is_pinned_and_hashed(lock):
    """One version, at least one SHA-256, no address."""
    found = entries(lock)
    assert found
    for name, _, _, hashes in found:
        assert hashes, f"{name} has no hash"
        assert all(re.fullmatch(r"sha256:[0-9a-f]{64}", one) for one in hashes), name
    assert "://" not in (ROOT / "requirements" / f"{lock}.txt").read_text()


def test_the_locks_hold_what_the_project_asks_for():
    """Each dependency of pyproject.toml in a version that fits; the test lock holds the other one, to the version."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    wanted = {"serve": project["dependencies"]}
    wanted["test"] = [*wanted["serve"], *project["optional-dependencies"]["test"]]
    for lock, requirements in wanted.items():
        locked = {name: version for name, version, marker, _ in entries(lock) if here(marker)}
        for requirement in map(Requirement, requirements):
            if here(str(requirement.marker) if requirement.marker else None):
                assert requirement.specifier.contains(locked[canonicalize_name(requirement.name)]), requirement
    serve, test = ({entry[:3] for entry in map(tuple, ([*e[:3]] for e in entries(lock)))} for lock in ("serve", "test"))
    assert serve <= test


def imported(package):
    """Top-level names that the modules of a package import, wherever in the module."""
    for path in (ROOT / package).rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                yield from (alias.name.partition(".")[0] for alias in node.names)
            elif isinstance(node, ast.ImportFrom) and not node.level:
                yield (node.module or "").partition(".")[0]


@pytest.mark.parametrize("package", ["api", "planner", "worker"])
def test_the_service_imports_nothing_that_only_the_tests_bring(package):
    """An environment made for serving has no more than the lock for serving; a missing package stops the demo."""
    served = {name for name, _, marker, _ in entries("serve") if here(marker)}
    brought = importlib.metadata.packages_distributions()
    names = set(imported(package)) - sys.stdlib_module_names - {"api", "planner", "worker"}
    assert names
    missing = {name for name in names if not served & {canonicalize_name(one) for one in brought.get(name, ())}}
    assert missing == set()


def test_what_is_installed_is_what_is_locked():
    """In the environment these tests run in."""
    drifted = {}
    for name, version, marker, _ in entries("test"):
        if here(marker) and importlib.metadata.version(name) != version:
            drifted[name] = (version, importlib.metadata.version(name))
    assert drifted == {}


def licences(name):
    """SPDX identifiers that a package's metadata gives."""
    metadata = importlib.metadata.metadata(name)
    expression = metadata.get("License-Expression") or ""
    if not expression:
        classified = [c.rpartition(" :: ")[2] for c in metadata.get_all("Classifier", []) if c.startswith("License ::")]
        expression = " AND ".join(classified) or (metadata.get("License") or "").strip().partition("\n")[0]
    words = re.split(r"\s+(?:AND|OR|WITH)\s+|[()]", expression) if expression not in AS_SPDX else [expression]
    return {AS_SPDX.get(part.strip(), part.strip()) for part in words if part.strip()}


def test_every_licence_is_one_we_may_use():
    """Those of the list, and a few that somebody looked at."""
    foreign = {}
    for name, _, marker, _ in entries("test"):
        if here(marker) and name not in LOOKED_AT and not (licences(name) and licences(name) <= ALLOWED):
            foreign[name] = licences(name)
    assert foreign == {}


def known_bad():
    """(name, versions) of each line."""
    lines = (ROOT / "requirements" / "known-bad.txt").read_text().splitlines()
    return [tuple(line.split()[:2]) for line in lines if line and not line.startswith("#")]


def test_no_locked_version_is_known_to_be_bad():
    """Against our own dated list; every name on it is one we use, so that it does not grow old unnoticed."""
    locked = [(name, version) for lock in LOCKS for name, version, _, _ in entries(lock)]
    bad = [
        (name, v) for wrong, which in known_bad() for name, v in locked if name == wrong and v in SpecifierSet(which)
    ]
    assert bad == []
    assert {name for name, _ in known_bad()} <= {name for name, _ in locked}
    assert re.search(r"As of \d{4}-\d{2}\.", (ROOT / "requirements" / "known-bad.txt").read_text())


AUDITS = {
    "all asked about": ({"a": [], "b": []}, 0),
    "one vulnerable": ({"a": [{"id": "CVE-1"}], "b": []}, 1),
    "one not asked about": ({"a": []}, 3),
    "none asked about": ({}, 3),
}


@pytest.mark.parametrize(("known", "ends"), AUDITS.values(), ids=list(AUDITS))
def test_an_audit_that_was_not_answered_is_not_a_good_one(monkeypatch, capsys, known, ends):
    """The auditing program ends with 0 and "no known vulnerabilities" also when it could ask nobody; ours does not."""
    monkeypatch.syspath_prepend(str(ROOT / "requirements"))
    import audit

    def answer(command, **_):
        listed = Path(command[command.index("--requirement") + 1]).read_text().split()
        found = [{"name": n, "version": "1", "vulns": known[n]} for n in known if f"{n}==1" in listed]
        return subprocess.CompletedProcess(command, 0, json.dumps({"dependencies": found}), "")

    monkeypatch.setattr(audit, "pinned", lambda _lock: ["a==1", "b==1"])
    monkeypatch.setattr(audit.subprocess, "run", answer)
    assert audit.main() == ends
    said = capsys.readouterr().out
    assert ("NOT audited" in said) == (known == {})
    del sys.modules["audit"]


def test_the_bill_of_materials_holds_what_the_lock_installs(tmp_path):
    """CycloneDX, read back by the library's own reader: each package once, with its hashes; twice the same bytes."""
    written = [tmp_path / "one.json", tmp_path / "other.json"]
    for file in written:
        subprocess.run([sys.executable, "requirements/sbom.py", file], cwd=ROOT, check=True, capture_output=True)
    assert written[0].read_bytes() == written[1].read_bytes()
    told = json.loads(written[0].read_text())
    assert (told["bomFormat"], told["specVersion"]) == ("CycloneDX", "1.6")
    bom = Bom.from_json(told)
    assert bom.metadata.component.name == "shot-to-ship"
    held = {(part.name, part.version): {one.content for one in part.hashes} for part in bom.components}
    asked = {
        (name, version): {one.removeprefix("sha256:") for one in hashes}
        for name, version, _, hashes in entries("serve")
    }
    assert held == asked
    assert len(bom.components) == len(held)
