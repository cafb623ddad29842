"""Plan parts about inspection: what to draw from each run, and how sharp that is."""

from typing import Literal

from pydantic import Field

from planner.plan.base import PlanPart


class DefectSample(PlanPart):
    """The verdict rule for one kind of defect: of n pieces accept up to `accept` bad ones, from `reject` on reject."""

    defect: str
    level: str
    aql: float = Field(description="per cent")
    letter: str = Field(description="sample-size code letter; empty: every piece is inspected")
    n: int
    accept: int
    reject: int
    every_piece: bool
    why: str


class RunInspection(PlanPart):
    """What the inspector does on one part of one run."""

    run: str
    part: str
    colours: list[str]
    lot: int = Field(description="pieces the run moulds of it")
    severity: Literal["normal", "tightened"] = "normal"
    samples: list[DefectSample]
    sample: int = Field(description="pieces drawn; they serve all kinds of defect")
    first_off: int = Field(description="pieces checked when the run starts")
    last_off: int
    used_up: int = Field(description="pieces destroyed by the inspection")
    minutes: float = Field(description="inspector's")


class SamplingCurve(PlanPart):
    """Operating characteristic of one sampling plan, for lots from a running process (binomial).

    producer, indifferent, consumer: share of bad pieces accepted 95, 50 and 10 times in 100.
    """

    n: int
    accept: int
    producer: float
    indifferent: float
    consumer: float
    points: list[tuple[float, float]] = Field(description="share of bad pieces, chance that the lot is accepted")
