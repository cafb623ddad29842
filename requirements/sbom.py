"""What is in a release, as a CycloneDX document (ECMA-424): ./run sbom [FILE]

Written from the lock that is installed to serve, with each file's SHA-256 and each package's licence as it says itself.
The same lock makes the same document, byte by byte: it has no time in it, and its number comes from what it holds.
"""

import hashlib
import importlib.metadata
import json
import re
import sys
import tomllib
from pathlib import Path
from uuid import UUID

from cyclonedx.contrib.license.factories import LicenseFactory
from cyclonedx.model import HashAlgorithm, HashType
from cyclonedx.model.bom import Bom
from cyclonedx.model.component import Component, ComponentType
from cyclonedx.model.license import LicenseAcknowledgement
from cyclonedx.output.json import JsonV1Dot6
from packageurl import PackageURL

ROOT = Path(__file__).resolve().parents[1]
LOCK = ROOT / "requirements" / "serve.txt"
sys.path.insert(0, str(ROOT))

import planner  # noqa: E402  # found only now

_PINNED = re.compile(r"^([a-z0-9][a-z0-9._-]*)==([^\s;]+)")


def locked(lock: Path) -> dict[tuple[str, str], list[str]]:
    """(name, version) -> SHA-256 of each file it may be installed from."""
    found: dict[tuple[str, str], list[str]] = {}
    for line in lock.read_text(encoding="utf-8").replace("\\\n", " ").splitlines():
        if match := _PINNED.match(line.strip()):
            hashes = re.findall(r"--hash=sha256:([0-9a-f]{64})", line)
            found.setdefault((match[1], match[2]), []).extend(hashes)
    return found


def document(lock: Path = LOCK) -> str:
    """The document, as JSON text."""
    packages = locked(lock)
    bom = Bom()
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    ours = Component(
        name="shot-to-ship",
        version=planner.__version__,
        type=ComponentType.APPLICATION,
        bom_ref="shot-to-ship",
        licenses=_licence(project["license"]),
    )
    bom.metadata.component = ours
    parts = [_component(name, version, hashes) for (name, version), hashes in sorted(packages.items())]
    for part in parts:
        bom.components.add(part)
    bom.register_dependency(ours, parts)
    held = hashlib.sha256(repr((planner.__version__, sorted(packages.items()))).encode()).digest()
    bom.serial_number = UUID(bytes=held[:16], version=4)
    told = json.loads(JsonV1Dot6(bom).output_as_string())
    del told["metadata"]["timestamp"]
    return json.dumps(told, indent=2, ensure_ascii=False) + "\n"


def _component(name: str, version: str, hashes: list[str]) -> Component:
    return Component(
        name=name,
        version=version,
        type=ComponentType.LIBRARY,
        purl=PackageURL("pypi", None, name, version),
        bom_ref=f"{name}@{version}",
        hashes=[HashType(alg=HashAlgorithm.SHA_256, content=one) for one in sorted(set(hashes))],
        licenses=_licence(_says(name)),
    )


def _says(name: str) -> str:
    """The licence a package names, where it is installed here and names one in a line."""
    try:
        told = importlib.metadata.metadata(name)
    except importlib.metadata.PackageNotFoundError:
        return ""
    said = told.get("License-Expression") or told.get("License") or ""
    if not said or "\n" in said or len(said) > 60:
        kinds = [one.split(" :: ")[-1] for one in told.get_all("Classifier", []) if one.startswith("License :: ")]
        said = kinds[0] if kinds else ""
    return said


def _licence(said: str) -> list[object]:
    if not said:
        return []
    return [LicenseFactory().make_from_string(said, license_acknowledgement=LicenseAcknowledgement.DECLARED)]


if __name__ == "__main__":
    out = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "build" / "sbom.cdx.json"
    out.parent.mkdir(parents=True, exist_ok=True)
    out.write_text(document(), encoding="utf-8")
    print(out)
