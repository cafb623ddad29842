"""Random numbers for compiled code: a state of our own, so that a seed means the same plan on every run.

splitmix64 (Steele, Lea, Flood, OOPSLA 2014).
"""

import numpy as np
from numpy.typing import NDArray

from planner.schedule.jit import inner

State = NDArray[np.uint64]


def seeded(seed: int) -> State:
    """A fresh state."""
    return np.array([seed], dtype=np.uint64)


@inner
def uniform(state: State) -> float:
    """From 0 up to, not including, 1."""
    state[0] += np.uint64(0x9E3779B97F4A7C15)
    z = state[0]
    z = (z ^ (z >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    z = (z ^ (z >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    z = z ^ (z >> np.uint64(31))
    return float(z >> np.uint64(11)) / 9007199254740992.0


@inner
def below(state: State, limit: int) -> int:
    """A whole number from 0 up to, not including, `limit`."""
    return int(uniform(state) * limit)
