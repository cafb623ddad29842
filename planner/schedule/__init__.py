"""The schedule: who runs where in what order, searched, proven and timed."""

from planner.schedule.code_cache import keep_apart

keep_apart()
