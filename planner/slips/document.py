"""What slips, comparisons and levers say, as documents. Money in the campaign's currency; days are calendar days."""

from datetime import date, datetime
from typing import Literal

from pydantic import Field

from planner.plan.base import PlanPart

Policy = Literal["nothing else changes", "planned anew"]
Verdict = Literal["no problem", "small", "big"]
Goal = Literal["either", "sooner", "less waste"]


class TierChange(PlanPart):
    """What becomes of one tier's last dispatch. null: the tier is not in that plan."""

    tier: str
    before: date | None
    after: date | None
    days: int = Field(description="later; below zero: earlier")
    promised: date | None
    days_late: int = Field(description="of the last parcel afterwards, after the promised day")


class RunChange(PlanPart):
    """One run that is not where it was."""

    tool: str
    melts: list[str]
    what: Literal["new", "gone", "another press", "another place in the order", "earlier", "later", "other shots"]
    press_before: str | None
    press_after: str | None
    start_before: datetime | None
    start_after: datetime | None
    hours: float | None = Field(description="by which it starts later; below zero: earlier")
    shots_before: int
    shots_after: int


class LineChange(PlanPart):
    """One cost line, before and after."""

    what: str
    before: float
    after: float


class Comparison(PlanPart):
    """Two plans side by side: the second seen from the first."""

    document: Literal["comparison/1"] = "comparison/1"
    cost_before: float
    cost_after: float
    cost_lines: list[LineChange]
    purge_kg_before: float
    purge_kg_after: float
    press_hours_before: float
    press_hours_after: float
    bench_hours_before: float
    bench_hours_after: float
    tiers: list[TierChange]
    runs: list[RunChange] = Field(description="runs that moved; those that stand are not here")
    runs_before: int
    words: str


class Elsewhere(PlanPart):
    """Runs planned on another press, audited."""

    press: str | None = Field(description="null: looked at as long, with no wish for these runs")
    kept: bool = Field(description="false: no plan was found that has them there; `because` says why")
    because: str = ""
    cost: float | None
    price: float | None = Field(
        default=None, description="what it costs more than the best plan known without it, if all goes well"
    )
    audited: bool = False
    tiers: list[TierChange] = Field(description="against the plan as it stands")


class Cell(PlanPart):
    """One slip under one policy."""

    kind: Literal["tool", "piece", "resin", "colour"]
    name: str
    days: int
    policy: Policy
    possible: bool = Field(description="false: it cannot be carried out at all before the calendars end")
    audited: bool = Field(description="true: the plan behind this line was written out and holds under A1 to A14")
    cost: float | None
    cost_change: float | None
    purge_kg_change: float | None
    runs_moved: int
    people: int = Field(default=0, description="orders that leave later than in the plan")
    longest_days: int = Field(default=0, description="the longest any of them waits, days later")
    waiting_days: int = Field(default=0, description="days later, of all of them together: rows come by this")
    plan: str = Field(default="", description="the variant in which just this was planned with the whole budget")
    tiers: list[TierChange]


class SlipRow(PlanPart):
    """One tool, piece, resin or masterbatch: all its slips, what can be borne, and all of it in words."""

    kind: Literal["tool", "piece", "resin", "colour"]
    name: str
    slack_days: int | None = Field(
        description="days it may slip, if nothing else changes, before anyone leaves late (where late already: later "
        "than planned); null: more than was looked at"
    )
    verdict: Verdict
    harm: float | None = Field(
        description="money the worst of its slips costs if nothing else changes; null: it cannot be carried out"
    )
    words: str
    cells: list[Cell]


class SlipTable(PlanPart):
    """Every tool, bought-in piece, resin and masterbatch; first what makes most people wait longest."""

    document: Literal["slip-table/1"] = "slip-table/1"
    slips: list[int]
    rows: list[SlipRow]


class Lever(PlanPart):
    """One change that would help, planned and priced."""

    title: str
    patch: dict[str, object] = Field(description="JSON Merge Patch to the campaign: send it as a variant")
    cost_change: float = Field(description="of the whole plan, the lever's own hours included")
    days_earlier: int = Field(description="of the tier's last dispatch, or of all tiers together where none is named")
    waste_kg_less: float = Field(description="purge and start-up material")
    per_day: float | None = Field(description="money for each day earlier; null: no day earlier")
    audited: bool = Field(
        default=True, description="true: the plan behind it was written out and holds under A1 to A14"
    )
    comparison: Comparison
