"""What addresses and queries say of a plan."""

from typing import Annotated

from fastapi import Header, Path, Query

from worker.records.ids import PATTERN

PlanId = Annotated[str, Path(pattern=PATTERN)]
RevisionNumber = Annotated[int | None, Query(ge=1, description="none: the newest")]
Prefer = Annotated[str | None, Header(description="`wait=N`: answer when the plan is finished, or after N seconds")]
