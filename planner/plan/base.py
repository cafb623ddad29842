"""Base of everything in the run plan document."""

from pydantic import BaseModel, ConfigDict


class PlanPart(BaseModel):
    """Base of all plan parts."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)
