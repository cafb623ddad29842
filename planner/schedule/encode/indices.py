"""What the indices of an Instance stand for while it is laid out."""

from collections.abc import Sequence
from typing import NamedTuple

from planner.campaign import Campaign
from planner.demand.items import RunDemand


class Indices(NamedTuple):
    """Each list in the order of its index. shot_g: tool -> g per shot and barrel."""

    campaign: Campaign
    presses: list[str]
    tools: list[str]
    runs: list[RunDemand]
    melts: list[str]
    materials: Sequence[tuple[str, str]]
    shot_g: dict[str, list[float]]

    @property
    def melt_index(self) -> dict[str, int]:
        return {melt: n for n, melt in enumerate(self.melts)}
