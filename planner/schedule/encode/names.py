"""What the indices of an Instance stand for, and which wishes it leaves out."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from planner.calendars.clock import Clock
from planner.campaign import Campaign
from planner.campaign.unknown_melts import UNKNOWN
from planner.demand.finishing import Job
from planner.demand.items import Item, ItemDemand, RunDemand
from planner.demand.parcels import Batch
from planner.purge.factor import FactorFit
from planner.purge.figures import hot_runner_fits
from planner.purge.matrix import PurgeFigures
from planner.schedule.encode.goods import MadeWith
from planner.schedule.encode.heat import Clearing
from planner.schedule.encode.materials import MaterialKind

NO_WISH_REFUSED: Mapping[int, "RefusedWish"] = {}


@dataclass(frozen=True)
class RefusedWish:
    """Why a wish is not kept: the rule it breaks, as it is called in RULES.md, and words."""

    rule: str
    because: str


@dataclass(frozen=True)
class Names:
    """What the indices of an Instance stand for."""

    campaign: Campaign
    clock: Clock
    presses: list[str]
    tools: list[str]
    runs: list[RunDemand]
    melts: list[str]
    materials: list[tuple[MaterialKind, str]]
    goods: list[Item | MadeWith | str]
    batches: list[Batch]
    jobs: list[Job]
    """(batch, product, colourway, units)"""
    items: dict[Item, ItemDemand]
    figures: dict[tuple[str, int], PurgeFigures]
    clearing: Clearing
    dryers: list[str]
    refused: Mapping[int, RefusedWish]
    """Place in the campaign's wishes -> why a wish is not kept; the instance has all others."""
    anywhere: Campaign | None = None
    """The campaign before its tools were put to one place each; None: none had a choice."""

    @cached_property
    def hot_fits(self) -> dict[tuple[str, int], FactorFit]:
        """(tool, barrel from 0) -> the factor of its hot runner, where the log speaks of it."""
        return hot_runner_fits(self.figures)

    def melt(self, index: int) -> str:
        """`resin/colour`; behind the last stands one that nobody knows."""
        return self.melts[index] if index < len(self.melts) else UNKNOWN

    @property
    def start(self) -> datetime:
        """The campaign's start, with its offset."""
        return self.clock.moment(0)
