"""Start a worker: python -m worker [--queues small,large] [--name NAME]."""

import gc

gc.disable()  # until it is warm: looking for rubbish among what modules are made of takes a quarter of loading them

from planner.planning.make import make_plan  # noqa: E402
from worker.compiled_in_two import compiled_in_two  # noqa: E402
from worker.start import main  # noqa: E402

if __name__ == "__main__":
    main(make_plan, compile_all=compiled_in_two)
