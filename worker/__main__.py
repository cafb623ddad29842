"""Start a worker: python -m worker [--queues small,large] [--name NAME]."""

from planner.schedule.warm import warm
from planner.slips.replan import make_plan_from
from worker.start import main

if __name__ == "__main__":
    main(make_plan_from, compile_all=warm)
