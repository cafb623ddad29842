"""What is not sure yet: tools, first trials, how fast and how well presses mould, deliveries.

Everything here is optional. A promise is simulated from it; the plan itself goes by the likely figures elsewhere in the
document.
"""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from planner.campaign.base import Document, Id

Number = Annotated[float, Field(ge=-3650, le=1e6, allow_inf_nan=False)]


class ThreePoint(Document):
    """Early, likely, late: the range somebody who knows the matter would give.

    Shapes: `pert`, a beta with the mean (early + 4 likely + late) / 6 and the standard deviation (late - early) / 6 of
    the PERT method; `beta-pert`, the beta with weight 4 on the likely value; `triangular`.
    """

    early: Number
    likely: Number
    late: Number
    shape: Literal["pert", "beta-pert", "triangular"] = "beta-pert"

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if not self.early <= self.likely <= self.late:
            raise ValueError(f"{self.early}, {self.likely}, {self.late} must rise: early, likely, late")
        return self


def beta_shape(spread: ThreePoint) -> tuple[float, float]:
    """Alpha and beta of a three-point's beta distribution on its range."""
    mode = (spread.likely - spread.early) / (spread.late - spread.early)
    if spread.shape == "beta-pert":
        return 1 + 4 * mode, 1 + 4 * (1 - mode)
    mean = (1 + 4 * mode) / 6
    both = mean * (1 - mean) * 36 - 1  # the deviation is a sixth of the range
    return mean * both, (1 - mean) * both


class Fitted(Document):
    """A distribution fitted to what was measured: a normal one, or a lognormal one for what is never below zero."""

    shape: Literal["normal", "lognormal"]
    mean: Number
    sd: Annotated[float, Field(gt=0, le=1e6, allow_inf_nan=False)] = Field(description="standard deviation")

    @model_validator(mode="after")
    def _positive_mean(self) -> Self:
        if self.shape == "lognormal" and self.mean <= 0:
            raise ValueError("a lognormal needs a mean above zero")
        return self


Spread = ThreePoint | Fitted


class FirstTrial(Document):
    """The first trial on the press may show that the tool needs rework; then it comes back and is tried again."""

    success_chance: Annotated[float, Field(gt=0, le=1)] = Field(description="chance that a trial is good")
    rework_days: Spread = Field(
        default=ThreePoint(early=3, likely=7, late=12),
        description="calendar days a rework takes (metal taken off is quick; put on, a week or ten days)",
    )


class ToolUncertainty(Document):
    """What is not sure about one tool."""

    ready_days: Spread | None = Field(default=None, description="days after `ready`; below zero: earlier")
    first_trial: FirstTrial | None = Field(default=None, description="none: the tool is proven")
    cycle_share: Spread | None = Field(default=None, description="real cycle over planned cycle")
    scrap_share: Spread | None = Field(default=None, description="real scrap, as a share of parts")
    mount_share: Spread | None = Field(default=None, description="real time to mount it over planned time")


class Uncertainty(Document):
    """What is not sure, by tool, press and supply; what is not named here is taken as planned."""

    tools: dict[Id, ToolUncertainty] = Field(default={}, max_length=500)
    step_share: Spread | None = Field(
        default=None,
        description="real days over the days said, for steps left on tools (`until_ready`) that give one figure only",
    )
    efficiency_share: dict[Id, Spread] = Field(
        default={}, max_length=200, description="press -> real efficiency over planned efficiency"
    )
    stops_share: dict[Id, Spread] = Field(
        default={},
        max_length=200,
        description="press -> share of its working time lost to breakdowns, beyond what its efficiency counts",
    )
    purge_share: dict[Id, Spread] = Field(
        default={}, max_length=200, description="press -> real time to purge over planned time"
    )
    bench_share: dict[Literal["assembly", "packing"], Spread] = Field(
        default={}, description="bench -> real minutes over planned minutes"
    )
    carrier_days: Spread | None = Field(default=None, description="days by which the carrier's pick-ups come late")
    piece_days: dict[Id, Spread] = Field(
        default={}, max_length=1000, description="bought-in piece -> days its deliveries come after they were agreed"
    )
    resin_days: dict[Id, Spread] = Field(default={}, max_length=200, description="resin -> days, likewise")
    colour_days: dict[Id, Spread] = Field(default={}, max_length=500, description="colour -> days, likewise")
