"""What a plan costs on average, under which policy, and the plan either way, as parts of the run plan document."""

from datetime import date, datetime
from typing import Literal

from pydantic import Field

from planner.campaign.planning import Policy
from planner.plan.base import PlanPart


class PolicyWorth(PlanPart):
    """The plan under one way to go on when a tool is late, on the same scenarios."""

    policy: Policy
    branches: bool = Field(default=False, description="with a plan for each outcome of what is settled on a day")
    mean: float
    standard_error: float
    chance_all: float | None


class PromiseKept(PlanPart):
    """A tier that shall keep its promise with a chance."""

    tier: str
    asked: float
    chance: float = Field(description="share of the scenarios in which its last parcel leaves by the promised day")
    why: str = Field(description="what spreads its date most, in words; empty: the chance is reached")


class BranchRun(PlanPart):
    """One run of a branch."""

    press: str
    tool: str
    melts: list[str] = Field(description="`resin/colour` per barrel")
    shots: int
    begin: datetime = Field(description="its changeover included")
    start: datetime = Field(description="first production")
    end: datetime
    common: bool = Field(description="begun before the outcome is known, the same in every branch")


class BranchBatch(PlanPart):
    """One pack batch of a branch."""

    batch: str = Field(description="the plan's id of it")
    begin: datetime = Field(description="first work on it at the benches")
    end: datetime = Field(description="packed")
    leaves: datetime = Field(description="the pick-up that takes it")
    common: bool = Field(description="begun before the outcome is known, the same in every branch")


class BranchTier(PlanPart):
    """A tier in a branch."""

    tier: str
    leaves: date = Field(description="its last parcel, if all else goes as likely")
    days_late: int
    chance: float | None = Field(description="to keep its promise, in the scenarios of the branch; null: none is made")


class Branch(PlanPart):
    """What is done once a thing has turned out so, and what that means."""

    id: str
    words: str
    chance: float
    scenarios: int = Field(description="of those stated, in which it turns out so")
    mean: float | None = Field(description="cost in them; null: there are none")
    standard_error: float
    total: float = Field(description="cost if all else goes as likely")
    on_top: float = Field(
        default=0.0, description="of it, what the outcome costs whatever is done: its cost, and dearer melt of recipes"
    )
    recipes: list[str] = Field(default=[], description="what takes the place of colours, in words")
    moves: list[str] = Field(default=[], description="orders that then have another colourway, in words")
    tiers: list[BranchTier]
    runs: list[BranchRun] = Field(description="by press, in order of work")
    batches: list[BranchBatch] = Field(description="in order of service")


class Branches(PlanPart):
    """The plan either way: a common part until it is known how a thing turns out, and a branch for each outcome."""

    thing: str = Field(description="its id: `tool/NAME/trial`, or `settled/NAME`")
    about: str
    known: datetime = Field(description="from when the outcome is known")
    same: bool = Field(description="no branch does better than the plan's own order: that is right either way")
    plain_mean: float = Field(description="of the plan without branches, in the same scenarios under the same policy")
    worth: float = Field(description="what having a plan for each outcome saves on average: plain_mean - mean")
    worth_error: float = Field(description="its standard error, scenario by scenario")
    turned: list[int] = Field(description="in each scenario the number of its branch, from 0")
    branches: list[Branch] = Field(description="the first is what the plan counts on")


class Expected(PlanPart):
    """What the plan costs on average over scenarios that had no part in finding or choosing it."""

    mean: float
    standard_error: float
    certain_mean: float = Field(
        description="of the plan of a world in which all goes as likely, on the same scenarios under the same policy"
    )
    certain_total: float = Field(description="what that plan costs if all goes well")
    certain_late: list[str] | None = Field(
        default=None, description="tiers that would leave late in that plan even if all goes well; null: not looked at"
    )
    saved: float = Field(description="certain_mean - mean")
    saved_error: float = Field(description="its standard error, scenario by scenario")
    bound: float | None = Field(description="no plan can cost less on average, as estimated; null: not worked out")
    bound_low: float | None = Field(description="with 95 % confidence no plan costs less on average than this")
    bound_basis: str = ""
    bound_replications: int = 0
    chance_all: float | None = Field(
        description="share of the scenarios in which every promise is kept; null: nothing is promised"
    )
    promises: list[PromiseKept] = Field(default=[], description="tiers that ask for a chance")
    replications: int
    not_done: float = Field(description="share of the scenarios in which the plan cannot be carried out to the end")
    policy: Policy = Field(description="what the workshop does when a tool is late")
    policies: list[PolicyWorth] = Field(description="the plan under each policy, on the same scenarios")
    seed: int = Field(description="of the scenarios")
    costs: list[float | None] = Field(description="in each scenario; null: it cannot be carried out there")
    followed_by: Literal["", "S4.4"] = Field(
        default="", description="the rules by which scenarios are drawn and followed; empty: an older plan's"
    )
    branches: Branches | None = Field(
        default=None, description="the plan either way; null: nothing that matters is settled on a known day"
    )
