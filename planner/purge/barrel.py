"""A barrel as the purge sees it: how much melt has to go."""

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Barrel:
    """A barrel with the hot runner it feeds.

    hold_up_kg: melt in the barrel; hot_runner_kg: melt in the tool's hot runner, 0 for a cold one.
    """

    id: str
    hold_up_kg: float
    hot_runner_kg: float = 0.0

    def __post_init__(self) -> None:
        if not 0 < self.hold_up_kg < math.inf:
            raise ValueError(f"barrel {self.id}: hold-up {self.hold_up_kg} kg must be above 0")
        if not 0 <= self.hot_runner_kg < math.inf:
            raise ValueError(f"barrel {self.id}: hot runner {self.hot_runner_kg} kg must be 0 or more")

    @property
    def melt_kg(self) -> float:
        """Kilograms of melt that a purge has to wash out."""
        return self.hold_up_kg + self.hot_runner_kg
