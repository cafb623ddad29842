"""Ask an advisory service about every package of a lock: ./run advisories

Ends with 0 if every package was asked about and none has a known vulnerability, 1 if one has, and 3 if the service
could not be asked about all of them: then nothing is known, which is not the same as nothing being wrong.
"""

import json
import re
import subprocess
import sys
import tempfile
from pathlib import Path

SERVICES = ("pypi", "osv")
FOUND, NOT_ASKED = 1, 3
LOCKS = Path(__file__).resolve().parent
ORDINARY = re.compile(r"^([a-z0-9][a-z0-9._-]*)==(\S+)")


def pinned(lock: Path) -> list[str]:
    """name==version of every package in it, whatever the platform."""
    lines = lock.read_text().splitlines()
    return sorted({f"{m.group(1)}=={m.group(2).rstrip(';')}" for line in lines if (m := ORDINARY.match(line))})


def asked(packages: list[str], service: str) -> tuple[list[str], list[str]]:
    """What is known to be vulnerable (in words), and which packages the service said nothing about."""
    with tempfile.NamedTemporaryFile("w", suffix=".txt") as listed:
        listed.write("\n".join(packages) + "\n")
        listed.flush()
        given = ["--requirement", listed.name, "--no-deps", "--disable-pip", "--format", "json", "--timeout", "10"]
        command = [sys.executable, "-m", "pip_audit", *given, "--vulnerability-service", service]
        told = subprocess.run([*command, "--progress-spinner", "off"], capture_output=True, text=True, check=False)
    try:
        found = json.loads(told.stdout)["dependencies"]
    except (ValueError, KeyError):
        return [], packages
    known = {f"{one['name']}=={one['version']}": one["vulns"] for one in found if "vulns" in one}
    bad = [f"{name}: {', '.join(v['id'] for v in vulns)}" for name, vulns in sorted(known.items()) if vulns]
    return bad, [package for package in packages if package not in known]


def main() -> int:
    packages = sorted({package for lock in ("serve.txt", "test.txt") for package in pinned(LOCKS / lock)})
    for service in SERVICES:
        if asked(packages[:1], service)[1]:
            print(f"advisory service {service}: cannot be asked from here")
            continue
        bad, silent = asked(packages, service)
        for line in bad:
            print(line)
        print(
            f"{service}: {len(packages) - len(silent)} of {len(packages)} packages asked about, {len(bad)} vulnerable"
        )
        if bad:
            return FOUND
        if silent:
            print("not asked about:", ", ".join(silent))
        return NOT_ASKED if silent else 0
    print(f"NOT audited: {len(packages)} packages, no advisory service could be asked")
    return NOT_ASKED


if __name__ == "__main__":
    sys.exit(main())
