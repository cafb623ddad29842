"""What whoever starts the demo sees first: a plan made by rule, while the service starts and the search is compiled.

In a process of its own. Where what times plans is compiled already, that is used; compiling it would take half a
minute, so elsewhere plain Python times the handful of plans, in a second.
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

PLAIN = {"NUMBA_DISABLE_JIT": "1"}
"""Set for a process that compiles nothing."""


@contextmanager
def shown_at_once(campaign: Path, since: float) -> Iterator[Shown]:
    """A process that prints such a plan of the campaign in the file; it ends with the block.

    since: the monotonic second from which it counts how long that took.
    """
    printing = subprocess.Popen(
        [sys.executable, "-m", "api.command.at_once", str(campaign), str(since)],
        stdin=subprocess.DEVNULL,
        preexec_fn=die_with_parent,
    )
    try:
        yield printing
    finally:
        printing.kill()
        printing.wait()


class _NotBuilt(Exception):
    """What times plans was not compiled for this machine after all."""


def _not_here() -> None:
    raise _NotBuilt


def _print_at_once(campaign: Path, since: float) -> None:
    import gc

    gc.disable()  # it ends with its answer
    from planner.schedule.code_cache import anything_kept_of, compile_nothing

    if not anything_kept_of("annealing.py"):
        compile_nothing()
    import json

    from api.command.readable import in_short
    from planner.errors import PlannerError
    from planner.planning.by_rule import plan_by_rule
    from planner.reading import read
    from planner.schedule.jit import told_of_building

    try:
        with told_of_building(_not_here):
            plan = plan_by_rule(read(json.loads(campaign.read_bytes())))
    except PlannerError:
        return  # the service says it of the same campaign, in its own words
    except _NotBuilt:
        os.execve(sys.executable, [sys.executable, "-m", "api.command.at_once", *sys.argv[1:]], os.environ | PLAIN)
    if plan is not None:
        taken = time.monotonic() - since
        print(
            f"\nA first plan by rule, after {taken:.1f} s; a better one is looked for.\n\n{in_short(plan)}\n",
            flush=True,
        )


if __name__ == "__main__":
    _print_at_once(Path(sys.argv[1]), float(sys.argv[2]))
