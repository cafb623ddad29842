"""The run plan document: what comes out, in the order in which the work is done.

Moments are ISO 8601 with the offset of the campaign's time zone; money is in the campaign's currency; masses are kg.
"""

from datetime import date, datetime
from typing import Any, Literal

from pydantic import Field, model_validator

from planner.campaign.wishes import WishKind
from planner.demand.parts import Units
from planner.plan.averages import Branch as Branch
from planner.plan.averages import Branches as Branches
from planner.plan.averages import BranchRun as BranchRun
from planner.plan.averages import Expected as Expected
from planner.plan.averages import PolicyWorth as PolicyWorth
from planner.plan.averages import PromiseKept as PromiseKept
from planner.plan.base import PlanPart as PlanPart
from planner.plan.binding import Link as Link
from planner.plan.binding import TierChain as TierChain
from planner.plan.binding import Why
from planner.plan.finished import CarriedLot as CarriedLot
from planner.plan.finished import FinishedPart as FinishedPart
from planner.plan.finished import FinishingJob as FinishingJob
from planner.plan.finished import FinishingLot as FinishingLot
from planner.plan.needed import DryerLoad as DryerLoad
from planner.plan.needed import Material as Material
from planner.plan.needed import PieceLot as PieceLot
from planner.plan.needed import PieceNeed as PieceNeed
from planner.plan.needed import ToolStepDates
from planner.plan.outgoing import CustomsFacts, DispatchPallets, PalletLoad, ParcelBox, SplitDates
from planner.plan.outgoing import Laid as Laid
from planner.plan.sampling import RunInspection as RunInspection
from planner.plan.sampling import SamplingCurve as SamplingCurve
from planner.schedule.bounds.avoidable import avoidable_gap

Basis = Literal["measured", "given", "estimated"]
PurgeWay = Literal["melt alone", "purging compound"]


class BetweenHeats(PlanPart):
    """How a barrel gets from one resin's heat to another's, degrees C: whoever stands at it must know what may be in it
    how hot."""

    from_c: float | None = Field(description="where it was set for what it holds; null: nobody knows")
    set_c: float = Field(description="where it is set for what comes: the middle of its melt range")
    old_stands_c: float = Field(description="hottest that what it holds stands: it must be out before")
    new_stands_c: float = Field(description="hottest that what comes stands: it does not go in before")


class GoesIn(PlanPart):
    """At which heats, degrees C, a resin may go into a barrel or hot runner that holds another: both flow there, and
    neither breaks down."""

    resin: str
    least_c: float = Field(description="colder, one of the two does not flow")
    most_c: float = Field(description="no hotter before the one it follows is out")


class Purge(PlanPart):
    """One melt cleared by the next, in a barrel or in the tool's hot runner."""

    where: Literal["barrel", "hot runner"]
    barrel: int = Field(description="1 or 2")
    from_: str = Field(alias="from", description="`resin/colour` that was in it")
    to: str
    kg: float
    kg_p10: float
    kg_p90: float
    shots: int = Field(description="through the tool; 0 for a barrel, which is purged into the open")
    seconds: int = Field(description="purging, and soaking where there is any")
    cost: float = Field(description="material and disposal")
    basis: Basis
    way: PurgeWay = Field(default="melt alone", description="`purging compound`: then the melt to come rinses it out")
    compound_kg: float = Field(default=0, description="of kg")
    rinse_kg: float = Field(default=0, description="of kg: new melt after the compound; 0 where melt alone purges")
    soak_seconds: int = Field(default=0, description="of seconds: the barrel stands hot with the compound in it")
    heat_seconds: int = Field(
        default=0, description="of seconds: the barrel heats or cools to where the new resin melts"
    )
    heat: BetweenHeats | None = Field(
        default=None,
        description="null: the resin stays the same, it is a hot runner, what comes has no known melt range, or an "
        "older version left it out",
    )
    bridge: str = Field(
        default="", description="resin that goes between, undyed, while the barrel heats or cools; empty: none"
    )
    bridge_kg: float = Field(default=0, description="of kg: the bridge")
    goes_in: list[GoesIn] = Field(
        default=[],
        description="the bridge, then what comes, each by what is in it before; empty: the resin stays the same, "
        "nobody knows what is in it or how hot what comes is moulded, or an older version left it out",
    )


class Cleared(PlanPart):
    """A melt that must not stand, cleared out of a barrel or hot runner by one that may."""

    where: Literal["barrel", "hot runner"]
    barrel: int = Field(description="1 or 2")
    from_: str = Field(alias="from", description="`resin/colour` that was in it")
    to: str = Field(description="what it is left with, undyed")
    kg: float
    cost: float = Field(description="material and disposal")
    goes_in: GoesIn | None = Field(default=None, description="null: an older version left it out")


class Closing(PlanPart):
    """What ends a stretch where the melt must not stand in a barrel that cools."""

    seconds: int
    cleared: list[Cleared]


class OthersBefore(PlanPart):
    """Others worked on the press between this changeover and what we did there before: their tool is in it, and what
    they left."""

    since: datetime = Field(description="when the first of them began")
    until: datetime = Field(description="when the last of them ended")
    left: list[str] = Field(
        description="`resin/colour` by barrel of the press, as they say; `unknown melt` where nobody knows"
    )


class Changeover(PlanPart):
    """Everything between two runs on a press. Worked in one piece, inside one stretch of opening hours.

    In this order: warm-up (if the press was cold), mount (if the tool changes), purges, start-up shots.
    """

    start: datetime
    end: datetime
    setter: int = Field(description="which of the setters of the press's place, from 1")
    warm_up_seconds: int
    mount_seconds: int
    from_tool: str | None = Field(description="tool of ours in the press before; null: none")
    after_others: OthersBefore | None = Field(
        default=None, description="their tool is in the press and their melt in the barrels; null: nobody was at it"
    )
    purges: list[Purge]
    startup_shots: int
    startup_seconds: int


class Stretch(PlanPart):
    """Part of a run inside one stretch of opening hours."""

    start: datetime
    end: datetime
    restart_seconds: int = Field(description="warm-up and start-up shots at its beginning, 0 if the press was hot")
    restart_shots: int = Field(description="start-up shots scrapped in the restart")
    shots: int = Field(description="shots completed in it")
    purges: list[Purge] = Field(
        default=[], description="in its restart: what the last closing left behind is purged out by the run's own melt"
    )
    closing: Closing | None = Field(default=None, description="its last seconds; null: its melt may stand")


class RunPart(PlanPart):
    """What a run gives of one part."""

    part: str
    colours: list[str]
    good: int = Field(description="good parts the plan counts on from this run")


class AtTheShot(PlanPart):
    """What goes into the mould over all shots of a run."""

    id: str = Field(description="a part, or a bought-in piece")
    colours: list[str] = Field(default=[], description="of a part; none: a bought-in piece")
    number: int


class Run(PlanPart):
    """One tool on one press, in one set of colours, for n shots."""

    id: str
    press: str
    tool: str
    melts: list[str] = Field(description="`resin/colour` per barrel")
    shots: int
    shot_seconds: float = Field(description="cycle / efficiency")
    changeover: Changeover | None = Field(description="null: the press was already set up so")
    start: datetime = Field(description="first production, after the changeover")
    end: datetime
    stretches: list[Stretch]
    parts: list[RunPart]
    takes: list[AtTheShot] = Field(default=[], description="what its shots are moulded over")
    operators: int = Field(default=0, description="people who stay at the press while it moulds; 0: nobody has to")
    waits_for: str | None = Field(
        description="what its start waited for, in words; empty: its press only; null: left out, a caution says why"
    )
    cost: float = Field(description="press, setter, operator, purge and start-up money of this run and its changeover")
    not_before: datetime | None = Field(
        default=None,
        description="the opening of its press that it waits for on purpose; it may begin later in those hours, having "
        "waited for something else; null: begins as early as it can",
    )
    others_from: datetime | None = Field(
        default=None,
        description="others take its press over then, before any other run of ours there: our tool comes out; null: "
        "they do not",
    )


class MadeWith(PlanPart):
    """What one of several tools makes of an item."""

    tool: str
    shots: int
    cavities: int
    scrap_share: float
    counted_on: int


class Balance(PlanPart):
    """Needed, moulded, surplus for one moulded item."""

    part: str
    colours: list[str]
    ordered: int
    spares: int
    stock: int
    to_mould: int
    shots: int
    cavities: int
    scrap_share: float
    counted_on: int = Field(description="good parts the plan counts on: to_mould, or more from a family tool")
    expected: float = Field(description="expected good parts")
    surplus: float = Field(description="expected beyond what is to be moulded, tests included")
    confidence: float = Field(description="P(good >= to_mould + tests)")
    counting_shots: int = Field(description="shots this item alone would ask for")
    at_the_shot: int = Field(default=0, description="good parts that go into moulds, in to_mould beside those ordered")
    tests: int = Field(default=0, description="good parts that tests use up, moulded on top of to_mould")
    finishing_scrap: float = Field(default=0, description="share of good mouldings that their finishing spoils")
    made_with: list[MadeWith] = Field(
        default=[],
        description="tool by tool, where several make it: then cavities are 0, scrap_share is that of all they mould, "
        "and counting_shots are all their shots",
    )


class Assembly(PlanPart):
    """Units of one colourway assembled in one go for one pack batch."""

    id: str
    batch: str
    product: str
    colourway: str
    units: int
    from_hand: int = Field(default=0, description="of them, assembled before the plan begins: no minutes are for these")
    start: datetime
    end: datetime
    person_minutes: float = Field(description="inspection included")
    inspection_minutes: float = Field(default=0.0, description="its parts' share of their lots' inspection")


class BatchLine(PlanPart):
    """Orders of one order line in a pack batch."""

    line: int = Field(description="index in the campaign's orders, from 0")
    count: int


class PackBatch(PlanPart):
    """Parcels packed in one go."""

    id: str
    tier: str
    region: str
    part: int = Field(default=1, description="which of its orders' parcels these are, from 1")
    parts: int = Field(default=1, description="parcels in which each of its orders goes out; 1: whole")
    contents: dict[str, dict[str, int]] = Field(description="per parcel: product -> colourway -> units")
    pieces: dict[str, int] = Field(description="bought-in pieces packed per parcel")
    parcels: int
    lines: list[BatchLine]
    served: int = Field(
        default=0, description="place in the order in which parts and pieces are allotted, from 1; 0: not said"
    )
    start: datetime
    end: datetime
    person_minutes: float
    dispatch: str
    carrier: str = Field(default="", description="whom it goes with; empty: the campaign's one carrier")
    hand_over_by: date | None = Field(
        default=None,
        description="day by which it should have left: what is promised, less the most days to the door where that is "
        "promised; null: nothing is, or an older plan",
    )
    box: ParcelBox | None = Field(default=None, description="null: the tier chooses no carton")
    pallets: PalletLoad | None = Field(default=None, description="null: less than half a pallet, or no carton")

    @property
    def units(self) -> Units:
        """Per parcel: ((product, colourway), how many)."""
        return tuple(((product, way), n) for product, ways in self.contents.items() for way, n in ways.items())


class Dispatch(PlanPart):
    """Parcels handed over on one pick-up."""

    id: str
    at: datetime
    carrier: str = Field(default="", description="who picks up; empty: the campaign's one carrier")
    parcels: int
    batches: list[str]
    pallets: list[DispatchPallets] = Field(
        default=[], description="by kind of carton, where its parcels fill at least half a pallet"
    )


class RegionDates(PlanPart):
    """When a tier's parcels for one region leave, against what is promised there."""

    region: str
    parcels: int
    promised: date | None
    last_dispatch: datetime
    at_the_door: date | None
    late_parcels: int
    days_late: int = Field(description="of the one that is latest; 0: on time")


class TierDates(PlanPart):
    """When a tier leaves."""

    tier: str
    parcels: int
    promised: date | None
    first_dispatch: datetime
    last_dispatch: datetime
    late_parcels: int
    days_late: int = Field(description="of the last parcel; 0: on time")
    split: SplitDates | None = Field(default=None, description="null: the campaign says nothing of split shipment")
    at_the_door: date | None = Field(
        default=None,
        description="last day on which one of its parcels comes to a door, at the most days; null: not known",
    )
    promised_to: Literal["hand-over", "door"] = "hand-over"
    regions: list[RegionDates] = Field(
        default=[], description="where regions are promised days of their own, or what is promised is the door"
    )


CostName = Literal[
    "press hours",
    "energy",
    "changeover charges",
    "shift charges",
    "piece prices",
    "least a run",
    "setter hours",
    "operator hours",
    "moulded material",
    "purge material",
    "purging compound",
    "start-up material",
    "disposal",
    "unused minimum orders",
    "bought-in pieces",
    "finishing labour",
    "finishing by the piece",
    "carriage",
    "assembly labour",
    "packing labour",
    "postage",
    "pallets",
    "extra postage",
    "lateness",
]


class CostLine(PlanPart):
    """One line of the cost."""

    what: CostName
    amount: float


class CampaignLine(PlanPart):
    """What one of several campaigns has of a cost line."""

    what: CostName
    amount: float
    shared: float = Field(description="of amount: its share of what serves other campaigns too")


class CampaignMaterial(PlanPart):
    """What the runs take of a material for one of several campaigns."""

    kind: str
    id: str
    kg: float = Field(description="start-up, purges and regrind included")


class CampaignApart(PlanPart):
    """One of several campaigns on the floor, told apart: its parcels and dates, and what it has of cost and material.

    What is done for its orders alone is its own; what serves several is shared by one rule (RULES.md, K).
    """

    campaign: str
    tiers: list[str]
    parcels: int
    first_dispatch: datetime
    last_dispatch: datetime
    late_parcels: int
    days_late: int = Field(description="of its last parcel; 0: on time, or nothing promised")
    total: float
    shared: float = Field(description="of total: its share of what serves other campaigns too")
    could_save: float = Field(
        description="its part of what the whole floor could still save at most, as its lines that the order of work "
        "decides; no bound of its own"
    )
    costs: list[CampaignLine]
    materials: list[CampaignMaterial]
    pieces: dict[str, float] = Field(description="bought-in piece -> how many it takes")


class CashDue(PlanPart):
    """Something to pay: an order's deposit or balance, the rest of an agreed delivery, a week's work, parts that other
    firms work on, postage."""

    on: date = Field(description="last day on which it can be paid; work: the Sunday of its week")
    what: Literal["deposit", "balance", "agreed delivery", "work", "finishing", "carriage", "postage"]
    of: str = Field(description="what is bought, or the kind of work")
    amount: float


class BarrelFactor(PlanPart):
    """What the purge log says of one barrel: its own factor on every estimate."""

    press: str
    barrel: int
    factor: float
    factor_p10: float
    factor_p90: float
    entries: int = Field(description="log entries it rests on")
    trust: float = Field(description="0: the usual barrel, nothing logged; 1: the log alone")
    way: PurgeWay = "melt alone"


class HotRunnerFactor(PlanPart):
    """What the purge log says of one tool's hot runner: entries that name the tool cleared barrel and hot runner."""

    tool: str
    barrel: int
    factor: float
    factor_p10: float
    factor_p90: float
    entries: int
    trust: float


class LogSetAside(PlanPart):
    """A log entry that is kept but not counted."""

    entry: int = Field(description="index in the campaign's purge log, from 0")
    press: str
    barrel: int
    from_: str = Field(alias="from")
    to: str
    reason: str


class ColourFinding(PlanPart):
    """Something about the colours to look at before the run: where it is and what to do."""

    kind: str = Field(examples=["hard change on the only hot-runner tool"])
    tool: str
    press: str | None = Field(description="null: on any press")
    barrel: int | None = Field(description="null: the tool's barrels together")
    concerns: list[str]
    message: str
    remedy: str


class CompoundOffer(PlanPart):
    """A purge the plan makes with melt alone that the purging compound would do for less material money."""

    run: str
    barrel: int
    from_: str = Field(alias="from")
    to: str
    kg: float = Field(description="melt the plan purges with, barrel and hot runner")
    compound_kg: float
    rinse_kg: float = Field(description="new melt that rinses the compound out")
    saves: float = Field(description="material and disposal, in the campaign's currency")
    why_not: str = Field(default="", description="why the plan purges with melt here, in words")


class CompoundUse(PlanPart):
    """The purging compound over the whole plan: what it takes, and what it spares against melt alone."""

    name: str
    purges: int = Field(description="barrels and hot runners cleared with it")
    kg: float
    rinse_kg: float
    melt_kg: float = Field(description="what the same purges would take with melt alone")
    saves: float = Field(description="material and disposal against melt alone; less than 0: it costs more")
    minutes_saved: float = Field(description="press time against melt alone; less than 0: it takes longer")


class PurgePace(PlanPart):
    """How fast a barrel is purged into the open."""

    press: str
    barrel: int
    rated_kg_h: float = Field(description="polystyrene its screw melts in an hour, kg")
    rests_on: Literal["its data sheet", "its size"] = Field(description="its size: common practice, no source")
    share: float = Field(description="of that, in air shots; melt of another density in proportion to it")


class PurgeNotes(PlanPart):
    """What the purge figures of the plan rest on, and what to look at."""

    kg_without_log: float = Field(description="the barrels' purges of this plan, had nothing been logged")
    kg_with_log: float = Field(description="the same purges as the plan counts them")
    total_unlogged: float | None = Field(
        default=None,
        description="the plan's total, had its purges of barrels taken what they would without the log: material, "
        "disposal, press and setter; when things happen stays as it is. null: not said, or an older plan",
    )
    total_without_log: float | None = Field(
        default=None,
        description="in older plans: money of the same order of work, had nothing been logged; null: not said",
    )
    total_with_log: float | None = Field(default=None, description="the plan's total")
    barrels: list[BarrelFactor] = Field(description="barrels with log entries that count")
    set_aside: list[LogSetAside]
    findings: list[ColourFinding]
    compound: list[CompoundOffer]
    hot_runners: list[HotRunnerFactor] = Field(default=[], description="hot runners that the log speaks of")
    compound_use: CompoundUse | None = Field(default=None, description="null: the plan uses none")
    pace: list[PurgePace] = Field(default=[], description="of every barrel the plan purges")


class Outcome(PlanPart):
    """How the search ended and what it can prove."""

    status: Literal["optimal", "feasible"]
    ended: Literal["proven", "gap reached", "budget used", "stopped"]
    aim: str
    total: float
    lower_bound: float
    gap: float = Field(description="(total - lower bound) / total; pages and lists show `avoidable_gap`")
    avoidable: float = Field(description="total less what no order of work changes: material, pieces, labour, postage")
    avoidable_gap: float = Field(
        description="(total - lower bound) / avoidable: of what an order of work decides, the share that could still "
        "be saved at most"
    )
    bound_basis: str = Field(description="which bound is the best one, in words")
    aim_unit: Literal["kg", "days"] | None = Field(
        default=None, description="of what is aimed at: waste, or days to the last dispatch; null: money is the aim"
    )
    aim_value: float | None = Field(default=None, description="what the plan has of it; with kg_per_day, both in kg")
    aim_bound: float | None = Field(default=None, description="no plan has less of it")
    aim_gap: float | None = Field(default=None, description="(value - bound) / value")
    aim_basis: str = Field(default="", description="what that bound rests on, in words")
    seed: int
    rounds: int
    model_hash: str
    versions: dict[str, str]
    expected: Expected | None = Field(
        default=None,
        description="what the plan costs on average where things are not sure; null: the campaign does not say what "
        "is, or asks for the least cost if all goes well",
    )

    @model_validator(mode="before")
    @classmethod
    def _of_older_plans(cls, told: Any) -> Any:
        """Plans written before the avoidable gap stood in them have all it follows from."""
        if not isinstance(told, dict) or "avoidable_gap" in told:
            return told
        total, bound, avoidable = told.get("total"), told.get("lower_bound"), told.get("avoidable")
        if not (
            isinstance(total, (int, float)) and isinstance(bound, (int, float)) and isinstance(avoidable, (int, float))
        ):
            return told
        return told | {"avoidable_gap": avoidable_gap(total, bound, total - avoidable)}


class Caution(PlanPart):
    """A caution that applies to this plan."""

    about: str
    text: str
    source: str


class WishKept(PlanPart):
    """What became of one of the campaign's wishes."""

    wish: int = Field(description="index in the campaign's wishes, from 0")
    kind: WishKind
    words: str = Field(description="what was wished for")
    kept: bool
    nothing_to_do: bool = Field(default=False, description="nothing of what it names is to be moulded")
    rule: str = Field(default="", description="of a wish that is refused: the rule of RULES.md that it breaks")
    because: str = Field(default="", description="of a wish that is refused: why")
    costs: float | None = Field(
        default=None,
        description="what the plan costs more, if all goes well, than the plan found without this wish; null: not "
        "worked out",
    )
    costs_on_average: float | None = Field(
        default=None, description="the same over the scenarios of a campaign that says what is unsure"
    )


class RuleVerdict(PlanPart):
    """What the auditor found for one rule, A1 to A14."""

    rule: str
    holds: bool
    checked: int = Field(description="how many things were looked at")
    findings: list[str]
    left_out: list[str] = Field(default=[], description="what the rule asks for and was not looked at, with the reason")


class Audit(PlanPart):
    """The auditor's verdict."""

    holds: bool
    rules: list[RuleVerdict]


class ToolAt(PlanPart):
    """Where a tool works that may go to several places."""

    tool: str
    place: str | None = Field(default=None, description="null: our own floor")
    by: datetime | None = Field(default=None, description="when its first run there begins; null: it makes nothing")


class RunPlan(PlanPart):
    """The run plan."""

    document: Literal["run-plan/1"] = "run-plan/1"
    name: str
    currency: str
    time_zone: str
    start: datetime
    outcome: Outcome
    tiers: list[TierDates]
    tool_steps: list[ToolStepDates] = Field(default=[], description="what is left to do on tools, as listed")
    wishes: list[WishKept] = Field(default=[], description="what became of the campaign's wishes, as listed")
    tools_at: list[ToolAt] = Field(default=[], description="where tools work that may go to several places")
    runs: list[Run] = Field(description="by press, then in order of work")
    balance: list[Balance]
    materials: list[Material]
    pieces: list[PieceNeed]
    drying: list[DryerLoad] = Field(default=[], description="when to load which dryer, in order of loading")
    finishing: list[FinishingJob] = Field(default=[], description="work of benches before assembly, in order of start")
    finishing_lots: list[FinishingLot] = Field(
        default=[], description="parts that travel to other firms or places, in the order in which they leave"
    )
    carried: list[CarriedLot] = Field(
        default=[], description="what travels from one bench to another, in the order in which it leaves"
    )
    assembly: list[Assembly]
    batches: list[PackBatch]
    dispatches: list[Dispatch]
    inspections: list[RunInspection] = Field(default=[], description="in the order of the runs")
    curves: list[SamplingCurve] = Field(default=[], description="one for each sampling plan among the inspections")
    customs: list[CustomsFacts] = Field(default=[], description="by country; empty: the campaign doesn't ask")
    costs: list[CostLine]
    campaigns: list[CampaignApart] = Field(
        default=[], description="each apart, where several share the floor; empty: there is one"
    )
    cash: list[CashDue] = Field(default=[], description="what must be paid by when; empty: nothing, or an older plan")
    purge_kg: float
    purging: PurgeNotes | None = None
    why: Why | None = Field(
        default=None, description="what binds; null: left out, a caution says why, or planned before the plan could say"
    )
    cautions: list[Caution]
    audit: Audit | None = None
