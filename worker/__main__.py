"""Start a worker: python -m worker [--queues small,large] [--name NAME]."""

from planner.planning.make import make_plan
from worker.compiled_in_two import compiled_in_two
from worker.start import main

if __name__ == "__main__":
    main(make_plan, compile_all=compiled_in_two)
