"""Thirty plans printed one after the other: whether the API's memory stays where it was.

    python -m benchmarks.papers [--plans 30] [--runs 200] [--folder FOLDER]

One plan of that many run demands under so many ids; a page of each is opened first, so that what is kept of parsed
plans (300 MiB at most) is there before. A line after every fifth that is printed: MiB of the API with all that came of
it (proportional), and processor seconds of the five.
"""

import argparse
import sys
import tempfile
from pathlib import Path

import httpx2

from api.app import make_app
from benchmarks.hundred_thousand import processor
from benchmarks.pages import SIZES, planned
from benchmarks.soak import proportional
from tests.api.plan_fixtures import publish
from tests.live_service import new_live_service

MAY_GROW = 1.10
"""Memory after the last over that after the first."""


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--plans", type=int, default=30)
    options.add_argument("--runs", type=int, default=200, choices=sorted(SIZES))
    options.add_argument("--folder", type=Path, default=Path("build/pages"), help="where the plan is kept")
    given = options.parse_args()
    given.folder.mkdir(parents=True, exist_ok=True)
    made = planned(SIZES[given.runs], given.folder, 3)
    with tempfile.TemporaryDirectory() as folder:
        live = new_live_service(Path(folder) / "service")
        live.start_broker()
        service = make_app(live.settings).state.service
        plans = [publish(service, *made) for _ in range(given.plans)]
        service.database.close()
        try:
            live.start_api()
            sys.exit(not level(live.processes["api"].pid, live.url, plans))
        finally:
            live.end()


def level(pid: int, url: str, plans: list[str]) -> bool:
    """Whether memory is the same after the last as after the first."""
    with httpx2.Client(trust_env=False, timeout=300) as client:
        for plan in plans:
            client.get(f"{url}/plans/{plan}/runs").raise_for_status()
        print(f"{'printed':>8}{'MiB':>8}{'proc. s':>9}\n{0:>8}{proportional(pid):>8.0f}", flush=True)
        after, worked = list[float](), processor(pid)
        for number, plan in enumerate(plans, start=1):
            client.get(f"{url}/v1/plans/{plan}/paper.pdf").raise_for_status()
            after.append(proportional(pid))
            if number % 5 == 0:
                print(f"{number:>8}{after[-1]:>8.0f}{processor(pid) - worked:>9.1f}", flush=True)
                worked = processor(pid)
    grown = after[-1] / after[0]
    print(f"{grown:.3f} times what it was after the first: {'level' if grown <= MAY_GROW else 'GROWS'}")
    return grown <= MAY_GROW


if __name__ == "__main__":
    main()
