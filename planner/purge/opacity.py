"""What a colour difference does not say: how much of an old melt may be left at most, by the finish of both.

Kubelka-Munk sees a layer through which nothing shines. Clear melt is looked through, so a trace shows all along its
thickness; flakes are seen one by one; and what is in the barrel has to leave it even where both melts look alike.
Every limit here is common practice without a published source.
"""

from collections.abc import Sequence
from enum import IntEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from planner.purge.colour import LIGHTEST, Appearance, grey
from planner.purge.difference import Array
from planner.purge.finish import EFFECTS
from planner.purge.tolerance import VISIBLE_FACE, clean_fractions

LEFT_ALIKE = 0.3
"""Most of the old melt that may be left in one that looks alike: what is in the barrel goes out, and a little more."""

LEFT_CLEAR = 0.03
"""Most that may be left from or to a clear melt."""

LEFT_IN_CLEAR = 0.001
"""Most of an opaque melt that may be left in a clear one, and never more than in a white."""

LEFT_FLAKES = 0.02
"""Most of a melt with flakes that may be left in one of another finish or colour."""


class Limit(IntEnum):
    """What settles how much may be left."""

    COLOUR = 0
    ALIKE = 1
    CLEAR = 2
    IN_CLEAR = 3
    IN_WHITE = 4
    FLAKES = 5

    @property
    def words(self) -> str:
        return _WORDS[self]


_WORDS = {
    Limit.COLOUR: "",
    Limit.ALIKE: "the least between melts that look alike",
    Limit.CLEAR: "the most from or to a translucent or natural melt",
    Limit.IN_CLEAR: "the most of an opaque melt in a clear one",
    Limit.IN_WHITE: "no more than may be left in a white",
    Limit.FLAKES: "the most after flakes",
}


def most_left(appearances: Sequence[Appearance], tolerance: ArrayLike = VISIBLE_FACE) -> tuple[Array, NDArray[np.int8]]:
    """(n, n): the fraction of melt i that may be left in melt j at [i, j], and the `Limit` that settles it.

    tolerance: as for `clean_fractions`. The diagonal is 1: a melt may be left in itself.
    """
    n = len(appearances)
    left = clean_fractions(appearances, tolerance)
    limit = np.zeros((n, n), dtype=np.int8)
    clear = np.array([EFFECTS[a.finish].clear for a in appearances], dtype=bool)
    flakes = np.array([EFFECTS[a.finish].flakes for a in appearances], dtype=bool)
    into_clear = ~clear[:, None] & clear[None, :]

    def at_most(most: float | Array, where: NDArray[np.bool_], code: Limit) -> None:
        limits: Array = np.broadcast_to(np.asarray(most, float), (n, n))
        lower = where & (left > limits) & ~np.eye(n, dtype=bool)
        left[lower], limit[lower] = limits[lower], code

    at_most(LEFT_ALIKE, np.ones((n, n), dtype=bool), Limit.ALIKE)
    at_most(LEFT_CLEAR, clear[:, None] | clear[None, :], Limit.CLEAR)
    at_most(LEFT_FLAKES, np.broadcast_to(flakes[:, None], (n, n)), Limit.FLAKES)
    at_most(LEFT_IN_CLEAR, into_clear, Limit.IN_CLEAR)
    if into_clear.any():
        white = grey(LIGHTEST)
        in_white = [white if clear[k] else a for k, a in enumerate(appearances)]
        at_most(clean_fractions(in_white, tolerance), into_clear, Limit.IN_WHITE)
    return left, limit
