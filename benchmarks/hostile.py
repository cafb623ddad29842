"""Ten thousand hostile documents against the API: what was answered, how memory grew.

python benchmarks/hostile.py [--documents 10000] [--seed 20270111]
"""

import argparse
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from fastapi.testclient import TestClient

from api.app import make_app
from tests.api.desk import settings_for
from tests.hostile import assault


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--documents", type=int, default=10_000)
    options.add_argument("--seed", type=int, default=20270111)
    given = options.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        app = make_app(settings_for(Path(folder)))
        with TestClient(app, base_url="http://127.0.0.1:8000", raise_server_exceptions=False) as client:
            seen, grown = assault(client, given.documents, given.seed)
    for status, count in sorted(seen.items()):
        print(f"{status}  {count}")
    print(f"memory grew by {grown / 2**20:.1f} MiB after the first third")


if __name__ == "__main__":
    main()
