"""The run plan document, and the one call that makes it from a campaign."""

from planner.plan.document import RunPlan

__all__ = ["RunPlan"]
