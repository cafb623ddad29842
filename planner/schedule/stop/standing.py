"""What a criterion sees of a search, and what it says."""

from dataclasses import dataclass
from typing import Literal, Protocol

Ended = Literal["proven", "gap reached", "budget used", "stopped"]


@dataclass(frozen=True)
class Standing:
    """Where a search stands. slices: of work done, so many to a round. objective: of its best plan. gap: how far what
    is aimed at is from its bound, as a share; inf: not known. met: whether that proves that nothing is better."""

    slices: int
    objective: float
    gap: float = float("inf")
    met: bool = False


class Criterion(Protocol):
    """One reason to end."""

    def __call__(self, standing: Standing) -> Ended | None:
        """Why the search ends now; None: it may go on."""
