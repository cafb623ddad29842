"""The run plan document; `planner.planning.make` makes it from a campaign."""

from planner.plan.document import RunPlan

__all__ = ["RunPlan"]
