"""Each criterion ends a search when it says it does, and together the first of them in order."""

import math

import pytest

from benchmarks.generator import sized
from planner.control import Unhurried
from planner.schedule.encode import compile_campaign
from planner.schedule.search import Budget, search
from planner.schedule.stop import (
    AnyOf,
    Asked,
    BoundMet,
    Deadline,
    GapReached,
    GoneThrough,
    Polish,
    Rounds,
    Stalled,
    Standing,
)


class Hurried(Unhurried):
    """Seconds left as the test sets them, and whether somebody asked to stop."""

    def __init__(self, left: float) -> None:
        self.left, self.asked = left, False

    def seconds_left(self) -> float | None:
        return self.left

    def should_stop(self) -> bool:
        return self.asked


def test_rounds_and_deadline_end_when_used_up_and_know_how_much_is() -> None:
    rounds = Rounds(3, slices_a_round=4)
    assert [rounds(Standing(n, 1.0)) for n in (0, 11, 12, 13)] == [None, None, "budget used", "budget used"]
    assert rounds.share(Standing(6, 1.0)) == (0.5, 7 / 12)
    control = Hurried(10.0)
    deadline = Deadline(control)
    assert deadline(Standing(0, 1.0)) is None
    control.left = 2.5
    assert deadline(Standing(9, 1.0)) is None
    share, after = deadline.share(Standing(9, 1.0))
    assert share == pytest.approx(0.75)
    assert 0.75 < after <= 1.0
    control.left = 0.0
    assert deadline(Standing(9, 1.0)) == "budget used"


def test_gaps_proofs_and_requests() -> None:
    assert GapReached(0.02)(Standing(1, 1.0, gap=0.02)) == "gap reached"
    assert GapReached(0.02)(Standing(1, 1.0, gap=0.021)) is None
    assert GapReached(0.0)(Standing(1, 1.0, gap=0.0)) is None, "no gap was asked for"
    assert GapReached(0.5)(Standing(1, 1.0)) is None, "no bound is known"
    assert BoundMet()(Standing(1, 1.0, met=True)) == "proven"
    assert BoundMet()(Standing(1, 1.0)) is None
    control = Hurried(1.0)
    assert Asked(control)(Standing(1, 1.0)) is None
    control.asked = True
    assert Asked(control)(Standing(1, 1.0)) == "stopped"


def test_plans_are_gone_through_once_when_due() -> None:
    tries: list[int] = []

    def prove() -> None:
        tries.append(1)

    through = GoneThrough(lambda standing: standing.slices >= 5, prove)
    assert [through(Standing(n, 1.0)) for n in (0, 4, 5, 6, 7)] == [None] * 5
    assert tries == [1]
    assert GoneThrough(lambda standing: True, lambda: "proven")(Standing(0, 1.0)) == "proven"


def test_a_stall_counts_from_the_last_better_plan() -> None:
    stalled = Stalled(3)
    seen = [(0, 9.0), (1, 9.0), (2, 8.0), (3, 8.0), (4, 8.0), (5, 8.0)]
    assert [stalled(Standing(n, value)) for n, value in seen] == [None] * 5 + ["budget used"]


def test_the_first_in_order_says_why() -> None:
    stop = AnyOf(BoundMet(), GapReached(0.1), Rounds(2))
    assert not stop(Standing(1, 1.0, gap=math.inf))
    assert stop.ended is None
    assert stop(Standing(2, 1.0, gap=0.05, met=True)) == stop.ended == "proven"
    assert AnyOf(GapReached(0.1), BoundMet())(Standing(2, 1.0, gap=0.05, met=True)) == "gap reached"


def test_a_search_that_stalls_ends_before_its_rounds() -> None:
    """A round without a better plan; with a patience longer than its rounds it is the search it was."""
    inst, _ = compile_campaign(sized("S", 1))
    whole, short, patient = (
        search(inst, Budget(12, 1, 0.0, bound_effort=0, stall=stall), Unhurried()) for stall in (None, 1, 1000)
    )
    assert (patient.objective, patient.rounds, patient.ended) == (whole.objective, whole.rounds, whole.ended)
    assert short.ended == whole.ended == "budget used"
    assert short.rounds < whole.rounds == 12
    assert short.objective >= whole.objective


def test_polish_ends_as_proven_after_its_slices_once_the_gap_is_closed() -> None:
    """It begins with a closed gap, cools once, and ends; where the aim is not proven by its bound it never does."""
    polish = Polish(True, 4)
    assert polish(Standing(3, 1.0, gap=0.1)) is None
    assert polish.share(Standing(3, 1.0, gap=0.1)) is None
    assert polish(Standing(5, 1.0, gap=0.0)) is None
    assert polish.began(Standing(5, 1.0))
    assert [polish.share(Standing(n, 1.0)) for n in (5, 8)] == [(0.0, 0.25), (0.75, 1.0)]
    assert polish(Standing(8, 1.0, gap=0.0)) is None
    assert polish(Standing(9, 1.0, gap=0.0)) == "proven"
    never = Polish(False, 1)
    assert [never(Standing(n, 1.0, gap=0.0)) for n in range(5)] == [None] * 5


def test_a_search_of_no_rounds_ends_with_the_first_plans() -> None:
    """None were done: it is not the number that stands in where nobody says any."""
    inst, _ = compile_campaign(sized("XS", 1))
    found = search(inst, Budget(0, 1, 0.0, bound_effort=0), Unhurried())
    assert (found.rounds, found.ended) == (0, "budget used")
