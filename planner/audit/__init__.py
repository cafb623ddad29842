"""The auditor of run plans: recomputes A1 to A14 from the campaign and the plan, sharing nothing with their maker."""

from planner.audit.auditor import audit

__all__ = ["audit"]
