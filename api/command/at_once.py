"""What whoever starts the demo sees first: a plan made by rule, while the service starts and the search is compiled.

In a process of its own, whose functions are not compiled: timing a handful of plans takes plain Python a second.
"""

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from worker.parents import die_with_parent

Shown = subprocess.Popen[bytes]


@contextmanager
def shown_at_once(campaign: Path, since: float) -> Iterator[Shown]:
    """A process that prints such a plan of the campaign in the file; it ends with the block.

    since: the monotonic second from which it counts how long that took.
    """
    printing = subprocess.Popen(
        [sys.executable, "-m", "api.command.at_once", str(campaign), str(since)],
        env=os.environ | {"NUMBA_DISABLE_JIT": "1"},
        stdin=subprocess.DEVNULL,
        preexec_fn=die_with_parent,
    )
    try:
        yield printing
    finally:
        printing.kill()
        printing.wait()


def _print_at_once(campaign: Path, since: float) -> None:
    import gc
    import json

    gc.disable()  # it ends with its answer
    import planner
    from api.command.readable import in_short
    from planner.errors import PlannerError
    from planner.planning.by_rule import plan_by_rule

    try:
        plan = plan_by_rule(planner.read(json.loads(campaign.read_bytes())))
    except PlannerError:
        return  # the service says it of the same campaign, in its own words
    if plan is not None:
        taken = time.monotonic() - since
        print(
            f"\nA first plan by rule, after {taken:.1f} s; a better one is looked for.\n\n{in_short(plan)}\n",
            flush=True,
        )


if __name__ == "__main__":
    _print_at_once(Path(sys.argv[1]), float(sys.argv[2]))
