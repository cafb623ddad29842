"""How the old melt leaves a barrel: the fraction left after theta hold-ups, and the theta for a fraction.

A hold-up is the mass of melt in the barrel and its hot runner; theta counts how many of them have gone
through. Models: one stirred tank, tanks in series, and a plug-flow share followed by either.

References
----------
Levenspiel, Chemical Reaction Engineering, ch. 11-14; Yeh and Jaw, Journal of Food Engineering, 1998
(single screw: plug share 0.38 to 0.65, the rest stirred).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from planner.purge.difference import Array

_HALVINGS = 80


@dataclass(frozen=True)
class Washout:
    """A flow model.

    tanks: stirred tanks in series, 1 or more.
    plug_share: share of the hold-up that moves as a plug, 0 to below 1; the tanks share the rest.
    """

    tanks: int = 1
    plug_share: float = 0.0

    def __post_init__(self) -> None:
        if self.tanks < 1 or self.tanks != int(self.tanks):
            raise ValueError(f"tanks {self.tanks} must be a whole number, 1 or more")
        if not 0 <= self.plug_share < 1:
            raise ValueError(f"plug share {self.plug_share} must be from 0 to below 1")

    def fraction_left(self, hold_ups: ArrayLike) -> Array:
        """Return the fraction (0 to 1) of old melt in what comes out after `hold_ups` >= 0."""
        theta = np.asarray(hold_ups, float)
        if (theta < 0).any():
            raise ValueError("hold-ups must not be below 0")
        return self._tail(np.maximum(theta - self.plug_share, 0.0) / (1 - self.plug_share))

    def hold_ups(self, fraction: ArrayLike) -> Array:
        """Return the hold-ups that wash down to `fraction` (above 0, up to 1); 0 where fraction is 1."""
        left = np.asarray(fraction, float)
        if not ((left > 0) & (left <= 1)).all():
            raise ValueError("the fraction to wash down to must be above 0 and at most 1")
        stirred = -np.log(left) if self.tanks == 1 else self._tail_inverse(left)
        theta: Array = np.where(left < 1, self.plug_share + (1 - self.plug_share) * stirred, 0.0)
        return theta

    def _tail(self, theta: Array) -> Array:
        """Erlang tail of the tanks alone: exp(-N t) times the first N terms of the series of exp(N t)."""
        passed = self.tanks * theta
        term = np.ones_like(passed)
        total = np.ones_like(passed)
        for k in range(1, self.tanks):
            term = term * passed / k
            total = total + term
        tail: Array = np.exp(-passed) * total
        return tail

    def _tail_inverse(self, left: Array) -> Array:
        low = np.zeros_like(left)
        high = np.ones_like(left)
        while (above := self._tail(high) > left).any():
            high = np.where(above, high * 2, high)
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            above = self._tail(middle) > left
            low, high = np.where(above, middle, low), np.where(above, high, middle)
        return high


STIRRED = Washout()


def laminar_pipe(hold_ups: ArrayLike) -> Array:
    """Return the fraction left in laminar flow without diffusion: 1 up to 0.5 hold-ups, then 1/(4 theta^2).

    The slowest tail of all, as along a straight hot-runner channel: for comparison, not used in estimates.
    """
    theta = np.asarray(hold_ups, float)
    with np.errstate(divide="ignore"):
        tail: Array = np.where(theta < 0.5, 1.0, 1 / (4 * theta**2))
    return tail
