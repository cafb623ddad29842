"""What the inspector does on one lot: samples by kind of defect, first-off and last-off checks, minutes.

A lot is one run (or what a run gives in one hand-over). Every kind of defect (a part that cannot be used,
one that looks poor, ...) has its own level and AQL; one sample of the largest size serves all kinds.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from planner.quality.schemes import NoSuchPlan, Severity, code_letter, single_sample


@dataclass(frozen=True)
class DefectKind:
    """A kind of defect with its level and AQL (per cent), e.g. critical at 0.1, appearance at 2.5."""

    id: str
    aql: float
    level: str = "II"


@dataclass(frozen=True)
class InspectorTimes:
    """Minutes on the inspector's bench, and what checking uses up.

    piece: minutes to check one piece; lot: minutes once a lot (fetch, write up);
    off_check: minutes for one first-off or last-off check; off_pieces: shots' worth of pieces for each.
    destroyed_share: share of the sample that cannot be used afterwards (0: none, 1: every piece is cut up).
    """

    piece: float
    lot: float = 0.0
    off_check: float = 0.0
    off_pieces: int = 0
    destroyed_share: float = 0.0


@dataclass(frozen=True)
class DefectCheck:
    """The verdict rule of one kind of defect in one lot.

    every_piece: the lot is not larger than the sample (or the table has no plan): inspect all,
    accept none bad; letter is "" then.
    """

    defect: str
    letter: str
    n: int
    accept: int
    reject: int
    every_piece: bool
    why: str


@dataclass(frozen=True)
class LotInspection:
    """All checks of one lot. sample: pieces drawn; used_up: pieces that cannot be sold afterwards."""

    lot: int
    checks: tuple[DefectCheck, ...]
    sample: int
    first_off: int
    last_off: int
    used_up: int
    minutes: float


def check_for(lot: int, defect: DefectKind, severity: Severity = "normal") -> DefectCheck:
    """The sampling plan of one kind of defect; the whole lot where a sample would be no smaller.

    Raises NoSuchPlan for a level or AQL that is not in the tables.
    """
    if lot < 1:
        raise NoSuchPlan(f"a lot of {lot} pieces holds nothing to inspect")
    if lot == 1:
        single_sample("A", defect.aql)  # still refuse an AQL that does not exist
        return DefectCheck(defect.id, "", 1, 0, 1, True, "a lot of one piece")
    letter = code_letter(lot, defect.level)
    try:
        plan = single_sample(letter, defect.aql)
        if severity != "normal":  # where the normal table stops, a sample would be laxer than normal inspection
            plan = single_sample(letter, defect.aql, severity)
    except NoSuchPlan as reason:
        if letter != "R":
            raise
        return DefectCheck(defect.id, "", lot, 0, 1, True, str(reason))
    if plan.n >= lot:
        why = f"the plan (letter {plan.letter}) asks for {plan.n}, the lot holds {lot}"
        return DefectCheck(defect.id, "", lot, 0, 1, True, why)
    why = f"level {defect.level}, AQL {defect.aql:g}, {severity}"
    if plan.letter != letter:
        why += f"; the table's arrow leads from letter {letter} to {plan.letter}"
    return DefectCheck(defect.id, plan.letter, plan.n, plan.accept, plan.reject, False, why)


def inspect_lot(
    lot: int, defects: Sequence[DefectKind], times: InspectorTimes, severity: Severity = "normal"
) -> LotInspection:
    """Plan the inspection of one lot of `lot` pieces, with minutes for the inspector's bench.

    Raises NoSuchPlan for an empty lot, level or AQL off the tables; ValueError without any kind of defect.
    """
    if not defects:
        raise ValueError("name at least one kind of defect to look for")
    checks = tuple(check_for(lot, defect, severity) for defect in defects)
    sample = max(check.n for check in checks)
    destroyed = ceil(round(sample * times.destroyed_share, 9))  # a piece half used up is lost
    minutes = times.lot + sample * times.piece + 2 * times.off_check
    return LotInspection(lot, checks, sample, times.off_pieces, times.off_pieces, destroyed, minutes)
