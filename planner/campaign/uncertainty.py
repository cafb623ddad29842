"""What is not sure yet: tools, first trials, how fast and how well presses mould, deliveries.

Everything here is optional. A promise is simulated from it; the plan itself goes by the likely figures elsewhere in the
document.
"""

from datetime import datetime, timedelta
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from planner.campaign.base import Amount, Document, HexColour, Id, Melt, When
from planner.campaign.hours import DaySpans

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


def known_from(on: When, more_days: int = 0) -> When:
    """When it is known what was settled: on a day, from the end of that day on; at a moment, from that moment on."""
    whole = 0 if isinstance(on, datetime) else 1
    return on + timedelta(days=whole + more_days)


class FirstTrial(Document):
    """The first trial on the press may show that the tool needs rework; then it comes back and is tried again.

    Where its day is given, the plan says what to do until it is known how the trial went, and then what, either way.
    """

    success_chance: Annotated[float, Field(gt=0, le=1)] = Field(description="chance that a trial is good")
    rework_days: Spread = Field(
        default=ThreePoint(early=3, likely=7, late=12),
        description="calendar days a rework takes (metal taken off is quick; put on, a week or ten days)",
    )
    on: When | None = Field(
        default=None,
        description="day of the trial: how it went is known when the day ends; a moment: from then on. The tool is "
        "not ready before. none: no day is known",
    )
    approval_days: Annotated[int, Field(ge=0, le=365)] = Field(
        default=0, description="calendar days after the trial until its parts are approved, or not"
    )
    most_failures: Annotated[int, Field(ge=1, le=12)] | None = Field(
        default=None, description="trials that can fail at most, then it works; none: tried until it works"
    )
    cost: Amount = Field(
        default=0,
        description="money each further trial costs beside what it takes on the floor: postage of parts, fees",
    )
    setter_hours: Amount = Field(default=0, description="hours of a setter that each trial takes")
    press: Id | None = Field(
        default=None, description="the press it is tried on, which moulds nothing else meanwhile; none: not one of ours"
    )
    hours: DaySpans | None = Field(default=None, description="when on that day, e.g. 08:00-11:00")
    melts: list[Melt] = Field(
        default=[], max_length=2, description="`resin/colour` it is tried with, one per barrel: left in the press"
    )
    kg: list[Amount] = Field(default=[], max_length=2, description="kg of each of `melts` that a trial takes")

    @model_validator(mode="after")
    def _takes_a_press_or_none(self) -> Self:
        told = (self.press is not None, self.hours is not None, bool(self.melts))
        if any(told) and not (all(told) and self.on is not None):
            raise ValueError("a trial on one of the presses says its day, the press, its hours and its melts")
        if self.kg and len(self.kg) != len(self.melts):
            raise ValueError(
                f"`kg` has {len(self.kg)} figures for {len(self.melts)} melts; give one for each of `melts`"
            )
        return self

    @property
    def known(self) -> When | None:
        """From when it is known how the trial went; None: nobody knows when it takes place."""
        return None if self.on is None else known_from(self.on, self.approval_days)


class Recipe(Document):
    """The masterbatch that takes a colour's place where that is not approved, or where a vote goes to another; what is
    left out stays as it is."""

    colour: Id | None = Field(
        default=None,
        description="another colour of the campaign, whose look, let-down and price it then has: what a vote went to. "
        "How it is had (stock, deliveries) stays its own",
    )

    let_down_percent: Annotated[float, Field(ge=0, lt=100)] | None = Field(
        default=None, description="masterbatch mass in 100 of coloured mass"
    )
    price_per_kg: Amount | None = None
    hex: HexColour | None = Field(
        default=None, description="sRGB, how it then looks: purges go by it where it turns out so"
    )

    @model_validator(mode="after")
    def _says_something(self) -> Self:
        own = [one for one in (self.let_down_percent, self.price_per_kg, self.hex) if one is not None]
        if self.colour is None and not own:
            raise ValueError("a recipe that takes another's place says its let-down, its price, its look or its colour")
        if self.colour is not None and own:
            raise ValueError("a recipe that is another colour's has that one's let-down, price and look; say no more")
        return self


class Moved(Document):
    """Orders that have another colourway in an outcome than the one that is counted on; the last ones of the book."""

    product: Id
    colourway: Id = Field(description="what they are counted as: each unit of it in such an order")
    becomes: Id = Field(description="the colourway that they have then")
    orders: Annotated[int, Field(ge=1, le=10_000_000)]
    tier: Id | None = Field(default=None, description="of one tier only; none: of all")


class OpenBetween(Document):
    """As reading writes it: what orders are in until it is known which colourway they have."""

    colourways: dict[Id, dict[Id, list[Id]]] = Field(
        default={}, max_length=200, description="product -> open colourway -> the colourway it is in each outcome"
    )
    colours: dict[Id, list[Id]] = Field(
        default={}, max_length=500, description="open colour -> the colour it is in each outcome"
    )


class TurnsOut(Document):
    """One of the ways in which something may be settled, and what comes later by it."""

    what: str = Field(default="", max_length=80, description="in words; empty: its id")
    chance: Annotated[float, Field(ge=0.01, le=0.99)] = Field(description="the chances of all ways add up to 1")
    tools: dict[Id, ThreePoint] = Field(default={}, max_length=50, description="tool -> calendar days it comes later")
    pieces: dict[Id, ThreePoint] = Field(default={}, max_length=50, description="bought-in piece -> days, likewise")
    resins: dict[Id, ThreePoint] = Field(default={}, max_length=50, description="resin -> days, likewise")
    colours: dict[Id, ThreePoint] = Field(
        default={}, max_length=50, description="colour (its masterbatch, or the recipe that takes its place) -> days"
    )
    recipes: dict[Id, Recipe] = Field(
        default={},
        max_length=50,
        description="colour -> the recipe that takes its place; what its melt costs more comes on top by itself",
    )
    moves: list[Moved] = Field(
        default=[],
        max_length=50,
        description="orders that then have another colourway, as in a vote; none of their parts in an open colour is "
        "moulded before",
    )
    cost: Amount = Field(default=0, description="money it costs on top")


class Settled(Document):
    """Something that is open now and settled on a known day: a colour's approval, a delivery, an agreement, a vote."""

    what: str = Field(default="", max_length=80, description="in words, e.g. `approval of sage`; empty: its id")
    on: When = Field(description="day on which it is settled: known when the day ends; a moment: known from then on")
    outcomes: dict[Id, TurnsOut] = Field(
        min_length=2, max_length=5, description="how it may turn out; the first is what the plan counts on"
    )
    between: OpenBetween | None = Field(default=None, description="written by reading, from `moves`; leave it out")

    @model_validator(mode="after")
    def _all_ways(self) -> Self:
        total = sum(one.chance for one in self.outcomes.values())
        if abs(total - 1) > 1e-6:
            raise ValueError(f"the chances of all outcomes add up to {total:g}; they must add up to 1")
        first = next(iter(self.outcomes.values()))
        if first.tools or first.pieces or first.resins or first.colours or first.recipes or first.cost:
            raise ValueError(
                "the first outcome is what the plan counts on; it brings nothing later, no other recipe and no cost"
            )
        if first.moves:
            raise ValueError("the first outcome is what the plan counts on; it moves no orders")
        return self

    @property
    def known(self) -> When:
        """From when it is known."""
        return known_from(self.on)


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
    settled: dict[Id, Settled] = Field(
        default={}, max_length=20, description="what is settled on a known day, one way or the other"
    )
