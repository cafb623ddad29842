"""The run plan document, and the one call that makes it from a campaign."""

from planner.plan.document import RunPlan
from planner.plan.make import make_plan

__all__ = ["RunPlan", "make_plan"]
