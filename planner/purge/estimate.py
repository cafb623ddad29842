"""Estimated purge of each ordered pair of melts, in hold-ups of the barrel: colour and resin."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from planner.campaign.purging import RESIN_CHANGE_HOLDUPS
from planner.purge.colour import Appearance
from planner.purge.difference import Array
from planner.purge.opacity import LEFT_ALIKE, Limit, most_left
from planner.purge.tolerance import VISIBLE_FACE
from planner.purge.washout import STIRRED, Washout

# Common practice, no source: hold-ups to change from or to a colour nobody has described (about black to white
# in a stirred barrel).
UNKNOWN_COLOUR_HOLD_UPS = 8.0


@dataclass(frozen=True)
class MeltKey:
    """Names a melt: the id of its resin and the id of its colour."""

    resin: str
    colour: str

    def __str__(self) -> str:
        return f"{self.resin} in {self.colour}"


@dataclass(frozen=True)
class Melt:
    """A resin in a colour; `appearance` None when nobody has described the colour."""

    resin: str
    colour: str
    appearance: Appearance | None = None

    @property
    def key(self) -> MeltKey:
        return MeltKey(self.resin, self.colour)


@dataclass(frozen=True)
class ResinChange:
    """Hold-ups to wash one resin out with another in the same colour.

    hold_ups: for any pair; the default is common practice without a source.
    pairs: figures of the maker's own for (old resin, new resin), before the general one.
    """

    hold_ups: float = RESIN_CHANGE_HOLDUPS
    pairs: Mapping[tuple[str, str], float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for what, figure in [("any pair", self.hold_ups), *self.pairs.items()]:
            if not 0 <= figure < np.inf:
                raise ValueError(f"resin change for {what}: {figure} hold-ups must be 0 or more")

    def figure(self, old: str, new: str) -> float:
        """Return the hold-ups from the old resin to the new one, 0 for the same."""
        return 0.0 if old == new else self.pairs.get((old, new), self.hold_ups)


@dataclass(frozen=True, eq=False)
class Estimate:
    """Hold-ups (n, n) from melt i to melt j at [i, j], before any barrel's factor.

    melts: what the rows and columns stand for.
    hold_ups: the larger of colour and resin, since one purge washes both out; above 0 between any two melts.
    colour_hold_ups: what colour and finish alone ask for.
    clean_fraction: how much of the old may be left, 1 in the melt itself; NaN where a colour is not described.
    limit: `Limit` codes: what settles that fraction.
    """

    melts: tuple[Melt, ...]
    hold_ups: Array
    colour_hold_ups: Array
    clean_fraction: Array
    limit: NDArray[np.int8]

    @property
    def rests_on_colour(self) -> NDArray[np.bool_]:
        """Where the colour sum decides, not a common-practice figure: only there can a log test it."""
        described = np.isfinite(self.clean_fraction) & (self.limit == Limit.COLOUR)
        telling: NDArray[np.bool_] = described & (self.hold_ups > 0) & (self.hold_ups == self.colour_hold_ups)
        return telling

    def first(self, count: int) -> "Estimate":
        """The estimate of the first `count` melts."""
        cut = (slice(count), slice(count))
        return Estimate(
            self.melts[:count],
            self.hold_ups[cut],
            self.colour_hold_ups[cut],
            self.clean_fraction[cut],
            self.limit[cut],
        )


def estimate(
    melts: Sequence[Melt],
    tolerance: ArrayLike = VISIBLE_FACE,
    flow: Washout = STIRRED,
    resin_change: ResinChange | None = None,
) -> Estimate:
    """Estimate every ordered pair of melts at once.

    tolerance: CIEDE2000, one figure, one per new melt (n,), or one per pair (n, n).
    flow: how the barrel washes out. One stirred tank is the default: a screw is better than that by its plug
        share, dead corners and hang-up make it worse, and the range of the figure holds both.
    """
    n = len(melts)
    allowed = np.broadcast_to(np.asarray(tolerance, float), (n, n))
    known = np.array([k for k, melt in enumerate(melts) if melt.appearance is not None], dtype=int)
    fraction = np.full((n, n), np.nan)
    limit = np.zeros((n, n), dtype=np.int8)
    colour = np.full((n, n), UNKNOWN_COLOUR_HOLD_UPS)
    if known.size:
        described = np.ix_(known, known)
        appearances = [a for melt in melts if (a := melt.appearance) is not None]
        fraction[described], limit[described] = most_left(appearances, allowed[described])
        colour[described] = flow.hold_ups(fraction[described])

    names = np.array([melt.colour for melt in melts], dtype=object)
    colour[names[:, None] == names[None, :]] = 0.0

    change = resin_change or ResinChange()
    resins = sorted({melt.resin for melt in melts})
    table = np.array([[change.figure(a, b) for b in resins] for a in resins]).reshape(len(resins), len(resins))
    at = np.array([resins.index(melt.resin) for melt in melts], dtype=int)
    resin = table[at[:, None], at[None, :]]
    least = np.where(np.eye(n, dtype=bool), 0.0, flow.hold_ups(LEFT_ALIKE))
    return Estimate(tuple(melts), np.maximum(np.maximum(colour, resin), least), colour, fraction, limit)
