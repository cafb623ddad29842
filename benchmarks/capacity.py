"""Every figure of capacity.md, one after the other: python benchmarks/capacity.py [--quick]

Takes about ten minutes; --quick shows in about three that everything runs, with figures not worth keeping.
"""

import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
WHOLE = (
    ("plan_costs.py",),
    ("stopping.py",),
    ("queue_waits.py",),
    ("load.py",),
    ("hostile.py",),
)
QUICK = (
    ("plan_costs.py", "--sizes", "XS", "S", "--seconds", "2"),
    ("stopping.py", "--stops", "2", "--sizes", "S"),
    ("queue_waits.py", "--workshops", "10", "1000"),
    ("load.py", "--seconds", "1", "--database", "sqlite"),
    ("hostile.py", "--documents", "200"),
)


def main() -> None:
    for name, *given in QUICK if sys.argv[1:] == ["--quick"] else WHOLE:
        print(f"\n## {name} {' '.join(given)}".rstrip(), flush=True)
        ended = subprocess.run(
            [sys.executable, str(HERE / name), *given], stderr=subprocess.PIPE, text=True, check=False
        )
        if ended.returncode:
            sys.exit(f"{name} ended with {ended.returncode}:\n{ended.stderr[-3000:]}")


if __name__ == "__main__":
    main()
