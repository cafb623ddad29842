"""The campaign document and its cross-checks."""

from planner.campaign.document import Campaign

__all__ = ["Campaign"]
