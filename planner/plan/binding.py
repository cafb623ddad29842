"""Plan parts that say why the plan is as it is: what is busiest, what runs wait for, what set each tier's last day."""

from datetime import datetime
from typing import Literal

from pydantic import Field

from planner.plan.base import PlanPart

LinkKind = Literal[
    "pick-up",
    "pick-up full",
    "wave before",
    "packing",
    "packing closed",
    "assembly",
    "assembly closed",
    "finishing",
    "finishing closed",
    "drying",
    "lot away",
    "carried",
    "rest",
    "run",
    "changeover",
    "press closed",
    "tool ready",
    "material",
    "dryer",
    "wish",
    "moulded over",
    "piece",
    "orders open",
]


class Busy(PlanPart):
    """How busy a press, tool or bench is until the last work of its kind ends."""

    kind: Literal["press", "tool", "finishing", "assembly", "packing"]
    name: str = Field(description="press or tool; a bench's own name")
    busy_hours: float = Field(description="changeovers, restarts and production; of a bench: person-hours worked")
    open_hours: float = Field(
        description="of a press: open until the last run of all ends; of a tool: from its ready moment until then, "
        "closed hours counted; of a bench: person-hours there until its last work ends"
    )
    share: float


class RunWait(PlanPart):
    """A run that did not begin when its press was free."""

    run: str
    press: str
    since: datetime
    until: datetime
    waited_for: Literal[
        "tool ready",
        "tool elsewhere",
        "material",
        "setter",
        "press hours",
        "dryer",
        "wish",
        "moulded over",
        "operators",
    ]
    words: str


class Link(PlanPart):
    """One stretch of time in a chain: what it went into."""

    kind: LinkKind
    of: str = Field(
        description="id: pick-up -> dispatch or, where it was full, batch; packing -> batch; assembly -> job; run, "
        "changeover, wish, moulded over -> run; press closed -> press; dryer; rest -> part; tool, piece, or material "
        "as `resin pp`; "
        "finishing -> job of a bench before assembly; finishing closed, drying -> that bench; lot away -> part; "
        "carried -> job of a bench before assembly, or batch; "
        "orders open, wave before -> batch"
    )
    since: datetime
    until: datetime
    back_to: str | None = Field(
        default=None, description="of a bench: the batch or job since which it was busy without a break, hours apart"
    )


class HoursOf(PlanPart):
    """Hours of a chain that one thing took."""

    what: str = Field(description="`press p2`, `closed hours`, `tool rim not ready`, `packing`, ...")
    hours: float


class TierChain(PlanPart):
    """What set the day a tier's last parcels leave: the waits behind them, without a gap, back to the start."""

    tier: str
    batch: str
    last_dispatch: datetime
    links: list[Link] = Field(description="latest first; each ends when the one before it in this list begins")
    hours: list[HoursOf] = Field(description="what the time from start to dispatch went into, most first")
    words: str


class Worth(PlanPart):
    """What a little more of something would change: the same order of work, timed anew with it."""

    kind: Literal["press hour", "assembler", "packer", "setter", "operator"]
    name: str = Field(description="the press; of people at another place that place; of the others what it is")
    what: str
    hours: float = Field(
        description="added until the plan's own last work there ends; of a person: hours the "
        "bench is open until then; of a setter: what one of today's setters works; of those who stay at presses: what "
        "one of today's stays while they mould"
    )
    saves: float = Field(
        description="money, before what the change itself costs; below zero: the same order gets dearer"
    )
    saves_per_hour: float
    sooner_hours: float = Field(description="by which the last dispatch of all comes sooner; below zero: later")


class Why(PlanPart):
    """What binds the plan."""

    busy: list[Busy] = Field(description="busiest first")
    waits: list[RunWait] = Field(description="in order of time")
    chains: list[TierChain] = Field(description="by tier, the last to be gone first")
    worth: list[Worth] = Field(description="most saved an hour first")
    worth_basis: str = "the same order of work, timed anew with a little more; planned anew it may be worth more"
    words: str
