"""What stands on the workshop's paper, as data: the figures the PDF prints. Masses kg, moments of the maker's zone."""

from datetime import date, datetime
from typing import Literal

from pydantic import BaseModel, Field

from planner.plan.averages import BranchRun, BranchTier
from planner.plan.document import (
    Assembly,
    CampaignApart,
    Caution,
    CostLine,
    DryerLoad,
    Material,
    PieceNeed,
    Run,
    TierDates,
    WishKept,
)
from planner.plan.finished import CarriedLot, FinishedPart, FinishingLot, PutTogether
from planner.plan.outgoing import CustomsFacts


class Drying(BaseModel):
    """How a resin is dried before use."""

    hours: float = Field(description="0: the campaign asks for none")
    degrees_c: tuple[float, float] | None = Field(default=None, description="null: unknown")
    usual_hours: tuple[float, float] | None = Field(default=None, description="of its family; null: unknown, or none")


class MeltDraw(BaseModel):
    """What a run takes from one barrel, its changeover's purge and start-up shots and its restarts included."""

    barrel: int
    resin: str
    colour: str
    shot_g: float = Field(description="melt of one shot, g")
    melt_kg: float
    masterbatch_kg: float = Field(description="of melt_kg, by the let-down")
    let_down_percent: float
    melt_c: tuple[float, float] | None = Field(default=None, description="usual melt temperatures; null: unknown")
    mould_c: tuple[float, float] | None = Field(default=None, description="usual mould temperatures; null: unknown")
    drying: Drying = Drying(hours=0)
    sources: list[str] = Field(default=[], description="of the temperatures and times that the campaign does not say")


class CavitiesOpen(BaseModel):
    """Cavities of one part that are open, of all."""

    part: str
    open: int
    cavities: int


class Settings(BaseModel):
    """What to set on the machine, and to look at on the tool."""

    cycle_s: float = Field(description="of the machine; a run is planned with it over the press's efficiency")
    clamp_kn: float | None = Field(description="null: the campaign does not say")
    mould_c: float | None = Field(description="the tool's own; null: usual for its resins")
    cavities: list[CavitiesOpen]


class Sample(BaseModel):
    """A single sampling plan by attributes for one part of the run (MIL-STD-105E, as ISO 2859-1)."""

    part: str
    colours: list[str]
    defect: str
    aql: float
    letter: str
    lot: int
    n: int
    accept: int
    reject: int


class Check(BaseModel):
    """What the inspector does on one part of the run, pieces."""

    part: str
    colours: list[str]
    first_off: int
    sample: int = Field(description="one sample serves all kinds of defect")
    last_off: int
    used_up: int = Field(description="of them destroyed")
    minutes: float


class RunSheet(BaseModel):
    """One run's sheet for the press."""

    run: Run
    called: str = Field(description="what people call the run: `bowl, oat, third run on press 7`")
    settings: Settings
    melts: list[MeltDraw]
    dryer_loads: list[DryerLoad]
    samples: list[Sample]
    checks: list[Check] = Field(description="empty: the campaign asks for no inspection")
    severity: str = Field(description="normal, tightened, or both where lots before say so of some parts only")
    sampled_by: Literal["the campaign", "common practice"] = Field(description="who chose levels and AQLs")
    cautions: list[Caution] = Field(description="those of the plan that concern this run's hands")
    address: str = Field(description="of the run's page, for the code on the sheet")
    there: str = Field(default="", description="what the clock at another place shows when it begins; none: as ours")


class BenchWork(BaseModel):
    """What a bench does to parts before assembly, on its sheet."""

    id: str
    bench: str
    start: datetime
    end: datetime
    what: str
    parts: list[FinishedPart]
    puts: list[PutTogether] = []
    batch: str = Field(description="the assembly job that takes the parts")


class PackLine(BaseModel):
    """A pack batch on the pack list."""

    id: str
    tier: str
    region: str
    dispatch: str
    parcels: int
    contents: dict[str, dict[str, int]]
    pieces: dict[str, int]
    part: int
    parts: int = Field(description="parcels in which each of its orders goes out; 1: whole")
    carton: str | None = Field(description="null: the tier chooses no carton")
    outside_mm: tuple[int, int, int] | None
    gross_kg: float | None = Field(description="of one parcel")
    charged_kg: float | None = Field(description="of one parcel, as the carrier charges it")
    pallets: int | None = Field(description="EUR pallets; null: less than half of one")
    start: datetime
    end: datetime


class Consignment(BaseModel):
    """Parcels of one tier to one region on one pick-up, of split orders one part of them."""

    tier: str
    region: str
    part: int = 1
    parts: int = Field(default=1, description="parcels in which each of its orders goes out; 1: whole")
    batches: list[str]
    parcels: int


class PickUpSheet(BaseModel):
    """One pick-up on the dispatch manifest."""

    id: str
    at: datetime
    carrier: str = Field(default="", description="empty: the campaign's one carrier")
    parcels: int
    consignments: list[Consignment]


class RegionSure(BaseModel):
    """How sure the last day of a tier's parcels to one region is."""

    region: str
    by: date
    chance: float | None
    door: bool = Field(description="whether the day is one at the door")


class TierSure(BaseModel):
    """How sure a tier's last day is, by simulation."""

    tier: str
    p50: date
    by: date = Field(description="the day that holds in the share picked")
    share: float = Field(description="of replications in which the last parcel has left `by` then")
    p95: date
    chance: float | None = Field(
        description="share of replications in which the promised day holds; null: none promised"
    )
    regions: list[RegionSure] = Field(default=[], description="where they differ, or the door is promised")


class Way(BaseModel):
    """What is done once a thing has turned out so."""

    words: str
    chance: float
    mean: float | None = Field(description="cost on average; null: not worked out")
    total: float = Field(description="cost if all else goes as likely")
    recipes: list[str] = Field(default=[], description="what takes the place of colours, in words")
    moves: list[str] = Field(default=[], description="orders that then have another colourway, in words")
    tiers: list[BranchTier]
    runs: list[BranchRun] = Field(description="begun after the outcome is known, by press")


class EitherWay(BaseModel):
    """The plan either way: what to do now, and a column for each outcome."""

    about: str
    known: datetime = Field(description="from when the outcome is known")
    now: list[BranchRun] = Field(description="begun before, the same either way")
    ways: list[Way]


class Buying(BaseModel):
    """What is to be ordered, soonest first."""

    materials: list[Material]
    pieces: list[PieceNeed]


class Paper(BaseModel):
    """Everything on the workshop's paper."""

    document: Literal["workshop-paper/1"] = "workshop-paper/1"
    name: str
    revision: int
    currency: str
    time_zone: str
    start: date
    total: float
    lower_bound: float
    gap: float
    mean: float | None = Field(default=None, description="what it costs on average; null: nothing is said to be unsure")
    mean_bound: float | None = Field(default=None, description="no plan costs less on average; null: not worked out")
    chance_all: float | None = Field(default=None, description="chance that every promise is kept")
    when_late: str | None = Field(default=None, description="what the workshop does when a tool is late")
    either_way: EitherWay | None = Field(default=None, description="null: nothing is settled on a known day")
    purge_kg: float
    tiers: list[TierDates]
    sure: list[TierSure] = Field(description="empty: not simulated yet")
    replications: int = Field(description="behind them")
    left_out: list[str] = Field(default=[], description="what even P95 does not allow for; empty: not simulated yet")
    costs: list[CostLine]
    campaigns: list[CampaignApart] = Field(default=[], description="each apart, where several share the floor")
    cautions: list[Caution]
    runs: list[RunSheet]
    drying: list[DryerLoad]
    drying_starts: list[datetime] = Field(
        default=[], description="of each load: when the dryer starts, as it is put in or later, by its timer"
    )
    drying_hours: dict[str, float] = Field(description="by resin, hours to dry before use")
    finishing: list[BenchWork] = Field(default=[], description="in the order of work, bench by bench")
    lots: list[FinishingLot] = Field(default=[], description="parts that travel to other firms, as they leave")
    carried: list[CarriedLot] = Field(default=[], description="what travels from bench to bench, as it leaves")
    wishes: list[WishKept] = Field(default=[], description="what became of the maker's wishes")
    assembly: list[Assembly]
    packing: list[PackLine]
    pick_ups: list[PickUpSheet]
    customs: list[CustomsFacts] = Field(description="facts for whoever declares, no customs ruling")
    buying: Buying
