"""Single sampling plans by attributes, rebuilt from the scheme's own generating rule.

Source: MIL-STD-105E, tables I (code letters), II-A (normal) and II-B (tightened); the same scheme as
ISO 2859-1. The plans lie on diagonals: going one sample size up while going one AQL down keeps the product
n x AQL, and so the acceptance number. A cell is therefore known from (letter index + AQL index) alone, but for
the arrows below acceptance number 0: in the normal table the first points up to it and the second down to 1; in the
tightened one both point down, since a smaller sample that accepts none bad would be laxer than normal inspection.
"""

from dataclasses import dataclass
from typing import Literal

from planner.errors import PlannerError

Severity = Literal["normal", "tightened"]

LETTERS = "ABCDEFGHJKLMNPQR"
SAMPLE_SIZES = (2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800, 1250, 2000)
AQLS = (0.01, 0.015, 0.025, 0.04, 0.065, 0.1, 0.15, 0.25, 0.4, 0.65, 1.0, 1.5, 2.5, 4.0, 6.5, 10.0)
LEVELS = ("S1", "S2", "S3", "S4", "I", "II", "III")

# Table I: the largest lot of each row, then one letter for each level in the order of LEVELS.
_LETTER_ROWS: tuple[tuple[float, str], ...] = (
    (8, "AAAAAAB"),
    (15, "AAAAABC"),
    (25, "AABBBCD"),
    (50, "ABBCCDE"),
    (90, "BBCCCEF"),
    (150, "BBCDDFG"),
    (280, "BCDEEGH"),
    (500, "BCDEFHJ"),
    (1200, "CCEFGJK"),
    (3200, "CDEGHKL"),
    (10_000, "CDFGJLM"),
    (35_000, "CDFHKMN"),
    (150_000, "DEGJLNP"),
    (500_000, "DEGJMPQ"),
    (float("inf"), "DEHKNQR"),
)

# Below letter R the tightened table has one row more, which no lot asks for and only arrows lead to (from memory).
_ROWS: dict[Severity, str] = {"normal": LETTERS, "tightened": LETTERS + "S"}
_SIZES_TO_S = (*SAMPLE_SIZES, 3150)

# The diagonal on which Ac = 0 stands, and the acceptance numbers from there on (None: an arrow).
_ZERO_DIAGONAL: dict[Severity, int] = {"normal": 14, "tightened": 15}
_AC_ON_DIAGONAL: dict[Severity, tuple[int | None, ...]] = {
    "normal": (0, None, None, 1, 2, 3, 5, 7, 10, 14, 21),
    "tightened": (0, None, None, 1, 2, 3, 5, 8, 12, 18),
}
_TO_ONE = 3  # the step at which acceptance number 1 stands


class NoSuchPlan(PlannerError):
    """The level, AQL or lot is not one the tables know, or the tables stop before a plan is reached."""


@dataclass(frozen=True)
class SingleSample:
    """One single sampling plan: of n pieces accept the lot up to `accept` bad, from `reject` on reject.

    letter: the code letter whose plan is used (an arrow may have led away from the lot's own letter).
    """

    letter: str
    n: int
    accept: int
    reject: int


def code_letter(lot: int, level: str = "II") -> str:
    """Sample-size code letter for a lot of `lot` pieces at an inspection level (table I).

    Raises NoSuchPlan for a lot below 2 or a level that the table does not have.
    """
    if level not in LEVELS:
        raise NoSuchPlan(f"inspection level {level!r} is not in the table: use one of {', '.join(LEVELS)}")
    if lot < 2:
        raise NoSuchPlan(f"a lot of {lot} is too small for a sample: the table begins at 2, inspect every piece")
    row = next(letters for largest, letters in _LETTER_ROWS if lot <= largest)
    return row[LEVELS.index(level)]


def single_sample(letter: str, aql: float, severity: Severity = "normal") -> SingleSample:
    """Plan for a code letter and an AQL in per cent (tables II-A, II-B), arrows followed.

    Raises NoSuchPlan for an AQL off the table, and where the arrow leads off the table's end.
    """
    if letter not in LETTERS:
        raise NoSuchPlan(f"code letter {letter!r} is not in the table: A to R without I and O")
    column = _aql_index(aql)
    zero, numbers = _ZERO_DIAGONAL[severity], _AC_ON_DIAGONAL[severity]
    row = LETTERS.index(letter)
    step = row + column - zero
    if step < 0:
        row, step = zero - column, 0
    elif step >= len(numbers):
        row, step = zero + len(numbers) - 1 - column, len(numbers) - 1
    if numbers[step] is None or _too_few(row, step, severity):
        row, step = _arrow(row, step, severity)
    if row >= len(_ROWS[severity]):
        raise NoSuchPlan(
            f"the {severity} table has no plan for letter {letter} at AQL {aql:g}: "
            "choose the next AQL, or inspect every piece"
        )
    accept = numbers[step]
    assert accept is not None  # the arrows have been followed
    return SingleSample(_ROWS[severity][row], _SIZES_TO_S[row], accept, accept + 1)


def _too_few(row: int, step: int, severity: Severity) -> bool:
    """Two pieces of which none may be bad are too few for the tightened table: letter A has arrows only."""
    return severity == "tightened" and row == 0 and step == 0


def _arrow(row: int, step: int, severity: Severity) -> tuple[int, int]:
    """Where an arrow beside acceptance number 0 leads: (row, step)."""
    down = row + _TO_ONE - step, _TO_ONE
    if step != 1:
        return down
    if severity == "normal":
        return (row - 1, 0) if row > 0 else down  # at the top of the table there is no up
    # The tightened table's foot: no row below has a plan for this AQL, so its arrow points up (from memory).
    return down if down[0] < len(_ROWS[severity]) else (row - 1, 0)


def _aql_index(aql: float) -> int:
    for index, known in enumerate(AQLS):
        if abs(known - aql) <= 1e-9:
            return index
    nearest = min(AQLS, key=lambda known: abs(known - aql))
    raise NoSuchPlan(
        f"AQL {aql:g} is not one of the table's: use {nearest:g} or another of "
        + ", ".join(f"{known:g}" for known in AQLS)
    )
