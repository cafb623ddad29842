"""Tools (moulds)."""

from typing import Annotated

from pydantic import Field

from planner.campaign.base import Amount, Count, Document, Id, Melt, Positive, Share, When
from planner.campaign.tool_steps import ToolStep


class Tool(Document):
    """A mould: what each shot makes, how long it takes, where it fits."""

    cavities: dict[Id, Annotated[int, Field(ge=1, le=512)]] = Field(
        min_length=1, max_length=64, description="part -> cavities; several parts: a family tool"
    )
    blocked_cavities: dict[Id, Count] = Field(default={}, description="part -> cavities that are shut off now")
    runner_g: list[Amount] = Field(
        default=[], max_length=2, description="runner and sprue mass a shot, g, one per barrel; none: 0"
    )
    hot_runner_kg: list[Amount] = Field(
        default=[],
        max_length=2,
        description="melt held in the tool's hot runner, kg, one per barrel; none: 0",
    )
    hot_runner_clean: bool = Field(
        default=False,
        description="true: its hot runner is new or was taken apart and cleaned. Where neither this "
        "nor `hot_runner_holds` is given, nobody knows what trials left in it: it is purged by the dearest it could be",
    )
    hot_runner_holds: list[Melt] = Field(
        default=[],
        max_length=2,
        description="`resin/colour` in its hot runner at the start, one per barrel; where it has none there: anything",
    )
    hot_runner_has_held: list[Id] = Field(
        default=[],
        max_length=50,
        description="resins its hot runner has held since it was last clean, on trials too; where neither this nor "
        "`hot_runner_holds` nor `hot_runner_clean` is given, no acetal or PVC is moulded with it",
    )
    cycle_s: Positive = Field(description="seconds from shot to shot")
    purge_cycle_s: Positive | None = Field(
        default=None, description="seconds a shot that clears the hot runner; none: the cycle"
    )
    scrap_share: Share = Field(default=0.02, description="share of parts that are scrap (0.02: common practice)")
    clamp_kn: Amount = Field(
        default=0,
        description="clamp force the tool asks for, kN (area x pressure); 0: not said, so not checked; the plan asks "
        "for it before the tool is mounted",
    )
    mould_c: Amount | None = Field(
        default=None, description="temperature of the mould, degrees C, shown at the press; none: usual for the resin"
    )
    mount_minutes: Amount = Field(default=60, description="minutes to take the old tool out and put this one in")
    base: Id | None = Field(
        default=None,
        description="the base that its insert goes into: of the tools that name it one can be in a press at a time, "
        "and changing over between them takes `insert_minutes`; none: a tool by itself",
    )
    insert_minutes: Amount | None = Field(
        default=None,
        description="minutes to put its insert in where another insert of its base is in the press; none: as mounting",
    )
    startup_shots: Count = Field(default=10, description="shots scrapped after a changeover and a cold restart")
    operators: Annotated[int, Field(ge=0, le=20)] = Field(
        default=0,
        description="people who stay at the press while it moulds, e.g. to lay inserts in; 0: nobody has to",
    )
    presses: list[Id] = Field(min_length=1, max_length=200, description="presses it may run on")
    ready: When | None = Field(
        default=None,
        description="day the tool can be mounted; none: at the start, or when its steps are done (`until_ready`)",
    )
    until_ready: dict[Id, ToolStep] = Field(
        default={},
        max_length=50,
        description="what is still to do before it makes good parts, in order; it is ready when all of it is done, "
        "and not before `ready`",
    )
    steps_from: When | None = Field(
        default=None, description="day from which these steps go on; none: the campaign's start"
    )
    steps_as_of: When | None = Field(
        default=None,
        description="day or moment at which the steps stood like this: what is not done then is done the next day "
        "at the earliest; none: not said",
    )
    smallest_lot_shots: Annotated[int, Field(ge=1, le=10_000_000)] | None = Field(
        default=None,
        description="a run may be split into lots of at least this many shots; none: never split",
    )

    def open_cavities(self, part: str) -> int:
        """Cavities of a part that are not blocked."""
        return self.cavities[part] - self.blocked_cavities.get(part, 0)

    @property
    def to_come(self) -> bool:
        """Whether it is not there, or not good, from the start."""
        return self.ready is not None or any(step.done is None for step in self.until_ready.values())

    def has_hot_runner(self, barrel: int) -> bool:
        """Whether it holds melt behind that press barrel (from 0)."""
        return barrel < len(self.hot_runner_kg) and self.hot_runner_kg[barrel] > 0

    @property
    def hot_runner_unsaid(self) -> bool:
        """Whether it has a hot runner and nobody says what that has held."""
        return any(self.hot_runner_kg) and not self.hot_runner_clean and not self.hot_runner_resins

    @property
    def hot_runner_resins(self) -> list[str]:
        """Every resin that its hot runner is said to hold or to have held, each once."""
        held = (melt.rpartition("/")[0] for n, melt in enumerate(self.hot_runner_holds) if self.has_hot_runner(n))
        return list(dict.fromkeys([*held, *self.hot_runner_has_held]))

    def hot_runner_first(self, barrel: int) -> str | None:
        """`resin/colour` in its hot runner behind a barrel (from 0) at the start; None: nothing, or nobody says."""
        said = barrel < len(self.hot_runner_holds) and self.has_hot_runner(barrel)
        return self.hot_runner_holds[barrel] if said else None

    def hot_runner_unknown(self, barrel: int) -> bool:
        """Whether nobody says what melt is in its hot runner behind a barrel (from 0) at the start."""
        return self.has_hot_runner(barrel) and self.hot_runner_first(barrel) is None and not self.hot_runner_clean
