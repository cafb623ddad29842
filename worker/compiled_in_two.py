"""All that planning needs compiled, built by two processes where there is something to build: it takes minutes of one
processor, and every first plan on a machine waits for it.

`python -m worker.compiled_in_two` builds it all; with `proofs`, the half that goes beside the other.
"""

import os
import subprocess
import sys
from collections.abc import Callable

from planner.schedule.jit import told_of_building
from planner.schedule.warm import warm_plans, warm_proofs
from worker.parents import die_with_parent

_HALF = "proofs"


def compiled_in_two(building: Callable[[], None]) -> None:
    """Build or load everything. building: called once if something must be built here."""
    beside: list[subprocess.Popen[bytes]] = []

    def begun() -> None:
        building()
        if (os.cpu_count() or 1) > 1:
            command = [sys.executable, "-m", "worker.compiled_in_two", _HALF]
            beside.append(subprocess.Popen(command, stdin=subprocess.DEVNULL, preexec_fn=die_with_parent))

    with told_of_building(begun):
        warm_plans()
    for one in beside:
        one.wait()  # however it ended: what it has not built is built here
    with told_of_building(lambda: None if beside else building()):
        warm_proofs()


if __name__ == "__main__":
    if sys.argv[1:] == [_HALF]:
        warm_proofs()
    else:
        compiled_in_two(lambda: None)
