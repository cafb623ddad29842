"""Ten thousand hostile documents and two thousand files against the API: what was answered, how long the longest took,
how memory grew.

python benchmarks/hostile.py [--documents 10000] [--files 2000] [--seed 20270111]

Processor time of a file is that of every process that had to do with it.
"""

import argparse
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

if TYPE_CHECKING:
    from tests.hostile import Outcome


def main() -> None:
    # Here: each process in which a file is read loads this module, and would load all of this for every file.
    from fastapi.testclient import TestClient

    from api.app import make_app
    from tests.api.app_client import settings_for
    from tests.api.plan_fixtures import publish_pots
    from tests.hostile import assault
    from tests.hostile_files import assault_with_files

    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--documents", type=int, default=10_000)
    options.add_argument("--files", type=int, default=2_000)
    options.add_argument("--seed", type=int, default=20270111)
    given = options.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        app = make_app(settings_for(Path(folder)))
        with TestClient(app, base_url="http://127.0.0.1:8000", raise_server_exceptions=False) as client:
            plan = publish_pots(app.state.service)
            if given.documents:
                _say("documents", assault(client, given.documents, given.seed, plan))
            if given.files:
                _say("files", assault_with_files(client, given.files, given.seed, plan))


def _say(what: str, outcome: "Outcome") -> None:
    print(f"{what}:", ", ".join(f"{status} {count} times" for status, count in sorted(outcome.seen.items())))
    print(f"slowest answer {outcome.slowest:.2f} s by the clock, dearest {outcome.dearest:.2f} s of processor time")
    print(
        "memory in MiB, before and after each tenth:", *(f"{size / 2**20:.0f}" for size in outcome.memory), flush=True
    )


if __name__ == "__main__":
    main()
