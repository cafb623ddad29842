"""Start a worker: python -m worker [--queues small,large] [--name NAME]."""

from planner.planning.make import make_plan
from planner.schedule.warm import warm
from worker.start import main

if __name__ == "__main__":
    main(make_plan, compile_all=warm)
