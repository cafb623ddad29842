"""All that planning needs compiled, built by two processes where there is something to build: it takes minutes of one
processor, and every first plan on a machine waits for it.

The worker itself reads what they have built: whoever builds keeps some 250 MB of what it took, as long as it lives.
`python -m worker.compiled_in_two` builds it all; with `plans` or `proofs`, that half.
"""

import gc
import os
import subprocess
import sys
from collections.abc import Callable

from planner.schedule.jit import told_of_building
from planner.schedule.warm import warm, warm_plans, warm_proofs
from worker.parents import die_with_parent

HALVES = {"plans": warm_plans, "proofs": warm_proofs}


class _NotBuilt(Exception):
    """The first function that is not there is about to be built here."""


def compiled_in_two(building: Callable[[], None]) -> None:
    """Read everything; build it before, in processes beside this one. building: called once if something must be built.

    What they leave unbuilt, whatever the reason, is built here.
    """
    try:
        with told_of_building(_not_here):
            warm()
    except _NotBuilt:
        building()
        _built_beside(list(HALVES) if (os.cpu_count() or 1) > 1 else ["all"])
        warm()


def _not_here() -> None:
    raise _NotBuilt


def _built_beside(parts: list[str]) -> None:
    """Each part in a process of its own; returns once all have ended."""
    begun = [
        subprocess.Popen(
            [sys.executable, "-m", "worker.compiled_in_two", part],
            stdin=subprocess.DEVNULL,
            preexec_fn=die_with_parent,
        )
        for part in parts
    ]
    for one in begun:
        one.wait()


def _collect_rarely() -> None:
    """What the compiler makes it keeps: to look for rubbish in it again and again takes a tenth of the time."""
    gc.set_threshold(100_000, 50, 1000)


if __name__ == "__main__":
    _collect_rarely()
    if len(sys.argv) > 1:
        HALVES.get(sys.argv[1], warm)()
    else:
        compiled_in_two(lambda: None)
