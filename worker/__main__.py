"""Start a worker: python -m worker [--queues small,large] [--name NAME]."""

from planner.plan.make import make_plan
from worker.start import main

if __name__ == "__main__":
    main(make_plan)
