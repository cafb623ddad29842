"""What becomes of runs in a scenario that is timed anew (A13). Moments are UTC seconds."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from planner.audit.case import Work
from planner.audit.figures import whole_up


class CannotBeDone(Exception):
    """A material ends before the work does."""


@dataclass(frozen=True)
class Lot:
    """A run as a scenario has it. work: the plan's run of that tool and those melts there. release: it begins no
    sooner; pinned: it keeps its place."""

    number: int
    work: Work
    shots: int
    release: int = 0
    pinned: bool = False

    @property
    def press(self) -> str:
        return self.work.run.press

    @property
    def tool(self) -> str:
        return self.work.run.tool

    @property
    def demand(self) -> tuple[str, tuple[str, ...]]:
        """What it is a part of."""
        return self.tool, tuple(self.work.run.melts)


class Made(NamedTuple):
    """What became of a lot. begin: its changeover, or first stretch; free: when its press is."""

    begin: int
    free: int


class Part(NamedTuple):
    """Shots of a lot that nothing breaks off. pieces: (from, seconds of production) of each stretch; shot: seconds;
    free: when its press is."""

    lot: Lot
    shots: int
    shot: Fraction
    pieces: list[tuple[int, int]]
    free: int

    def at(self, shot: int) -> int:
        """When its n-th shot is done."""
        left = whole_up(shot * self.shot)
        for start, seconds in self.pieces:
            if left <= seconds:
                return start + left
            left -= seconds
        raise CannotBeDone

    def by(self, moment: int) -> int:
        """Shots whose last second is worked by a moment."""
        worked = sum(max(0, min(moment - start, seconds)) for start, seconds in self.pieces)
        return min(self.shots, worked * self.shot.denominator // self.shot.numerator)


@dataclass
class Worked:
    """All presses. parts: in order of their begin; order: lots of each press as they were worked. money: what varies
    with the order of work."""

    made: dict[int, Made] = field(default_factory=dict)
    parts: list[Part] = field(default_factory=list)
    order: dict[str, list[Lot]] = field(default_factory=dict)
    money: float = 0.0

    def add(self, begin: int, part: Part) -> None:
        """The next part of a lot, its press busy with it from then on."""
        known = self.made.get(part.lot.number)
        self.made[part.lot.number] = Made(begin if known is None else known.begin, part.free)
        self.parts.append(part)


def lots_of(worked: Worked) -> Iterable[Lot]:
    """All lots, press by press."""
    return (lot for row in worked.order.values() for lot in row)
