"""What the indices of an Instance stand for while it is laid out."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from planner.campaign import Campaign
from planner.demand.items import RunDemand


class Indices(NamedTuple):
    """Each list in the order of its index. shot_g: tool -> g per shot and barrel."""

    campaign: Campaign
    presses: Sequence[str]
    tools: Sequence[str]
    runs: Sequence[RunDemand]
    melts: Sequence[str]
    materials: Sequence[tuple[str, str]]
    shot_g: Mapping[str, Sequence[float]]
