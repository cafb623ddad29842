"""Ways to write acetal and PVC: none is planned together; harmless ones are planned. A sample is really planned."""

import pytest

from benchmarks.resin_spellings import PLACES, Case, campaign, dangerous, harmless, meet, planned
from planner.errors import CampaignProblems
from planner.reading import read


def accepted(case: Case) -> bool:
    """Whether the campaign can be read, without planning it."""
    try:
        read(campaign(case))
    except CampaignProblems:
        return False
    return True


def test_no_spelling_of_a_forbidden_pair_is_accepted_where_the_two_would_meet() -> None:
    """300 ways to write or leave out both; only those plainly known may go on, where two presses keep them apart."""
    cases = list(dangerous(300))
    let_through = [case for case in cases if accepted(case)]
    assert {case.place for case in let_through} <= {"two presses", "dryer"}
    assert {case.place for case in cases} == set(PLACES)
    apart = [case for case in let_through if case.place == "two presses"][:3]
    assert apart
    for case in apart:
        plan = planned(case)
        assert plan is not None
        assert not meet(case, plan)


def test_nine_harmless_spellings_in_ten_are_accepted() -> None:
    """300 ways to write something else beside plain acetal, on one press."""
    assert sum(map(accepted, harmless(300))) >= 270


def test_every_refusal_names_a_field_and_a_remedy() -> None:
    """Whatever is written, whoever wrote it knows what to change."""
    for case in dangerous(150):
        if not accepted(case):
            with pytest.raises(CampaignProblems) as refused:
                read(campaign(case))
            assert all(problem.pointer and problem.remedy for problem in refused.value.problems), case


@pytest.mark.parametrize("place", ["one press", "first content", "two-shot"])
def test_the_benchmark_sees_resins_that_meet(place: str) -> None:
    """Two harmless resins in the same places are planned together, and that is seen."""
    case = Case(("body", "PP"), ("rim", "ABS"), place)
    plan = planned(case)
    assert plan is not None
    assert meet(case, plan)
