"""What is inspected on a part: kinds of defect with their limits, and the inspector's minutes."""

from typing import Annotated, Literal

from pydantic import Field

from planner.campaign.base import Amount, Document, Id

Level = Literal["S1", "S2", "S3", "S4", "I", "II", "III"]


class DefectLimit(Document):
    """How sharply one kind of defect is looked for (MIL-STD-105E, ISO 2859-1)."""

    aql: Annotated[float, Field(gt=0, le=10)] = Field(
        description="acceptance quality limit, per cent of parts: 0.01, 0.015, 0.025, ... 4, 6.5, 10"
    )
    level: Level = Field(default="II", description="inspection level; S1 to S4 take small samples")


class Inspection(Document):
    """Acceptance of each run's parts by sample."""

    defects: dict[Id, DefectLimit] = Field(min_length=1, max_length=20, description="kind of defect -> its limit")
    minutes: Amount = Field(default=0.5, description="inspector's minutes for one piece, all kinds of defect")
    lot_minutes: Amount = Field(default=5, description="inspector's minutes once a run: fetch, write up")
    off_minutes: Amount = Field(default=5, description="minutes for the first-off check, and for the last-off check")
    off_pieces: Annotated[int, Field(ge=1, le=100)] = Field(
        default=1, description="pieces looked at first-off, and last-off"
    )
    at: Literal["assembly", "elsewhere"] = Field(
        default="assembly",
        description="whose minutes: the assembly bench's, shared out over the parts assembled; or somebody else's",
    )
    past_lots: list[Literal["accepted", "rejected"]] = Field(
        default=[],
        max_length=1000,
        description="verdicts on lots of this part before, oldest first: they switch to tightened inspection and back",
    )
    destructive: bool = Field(default=False, description="a sampled piece cannot be used afterwards")
