"""Uniform numbers by (seed, factor, replication): each draws the same in every variant (common random numbers).

A counter-based generator: splitmix64's finaliser (Steele, Lea, Flood, OOPSLA 2014) over a key made of the seed and the
factor's name, so that a factor more or less changes nobody else's draws.
"""

import hashlib

import numpy as np

from planner.schedule.instance import Floats

_GOLDEN = np.uint64(0x9E3779B97F4A7C15)


def uniforms(seed: int, factor: str, replications: int) -> Floats:
    """(replications) numbers strictly between 0 and 1."""
    digest = hashlib.sha256(f"{seed}/{factor}".encode()).digest()
    key = np.uint64(int.from_bytes(digest[:8], "big"))
    with np.errstate(over="ignore"):
        z = key + (np.arange(1, replications + 1, dtype=np.uint64)) * _GOLDEN
        z = (z ^ (z >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
        z = (z ^ (z >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
        z = z ^ (z >> np.uint64(31))
    return ((z >> np.uint64(11)).astype(np.float64) + 0.5) / 2.0**53
