"""The auditor's own reading of when others have a press, by hand."""

from planner.audit.opening import Shift
from planner.audit.others import NOBODY_KNOWS, Theirs, left_between, ours_and_theirs
from planner.campaign.presses import Barrel, OthersWork, Press


def press(*others: OthersWork) -> Press:
    barrel = Barrel(holdup_kg=0.5, shot_max_g=200, plasticising_kg_h=60, clean=True)
    return Press(
        barrels=[barrel], clamp_kn=500, hours={"mon-fri": "06:00-14:00"}, rate_per_hour=36, others=list(others)
    )


def test_whoever_has_it_whenever_it_is_closed_has_every_gap_and_nobody_else_does() -> None:
    """Ours from 10 to 20 and from 50 to 60 of a hundred seconds; a firm has from 15 to 17 of our own hours."""
    own, hours = [(10, 20), (50, 60)], {"mon": "06:00-07:00"}
    firm, nights = OthersWork(hours=hours, leaves=["pp/black"]), OthersWork(whenever_closed=True, leaves=["pe/white"])
    ours, theirs = ours_and_theirs(own, press(firm), [[Shift(15, 17, 1)]], 0, 100)
    assert ours == [(10, 15), (17, 20), (50, 60)]
    assert theirs == [Theirs(15, 17, ("pp/black",))]
    ours, theirs = ours_and_theirs(own, press(nights), [[]], 0, 100)
    assert ours == own
    assert theirs == [Theirs(0, 10, ("pe/white",)), Theirs(20, 50, ("pe/white",)), Theirs(60, 100, ("pe/white",))]
    ours, theirs = ours_and_theirs(own, press(firm, nights), [[Shift(15, 17, 1)], []], 0, 100)
    assert left_between(theirs, 10, 17, 1) == NOBODY_KNOWS  # both are there from 15 to 17
    assert left_between(theirs, 20, 55, 1) == "pe/white"
    assert left_between(theirs, 17, 20, 1) is None
