"""Will I keep my promises? One answer in words, from what was simulated, or said to be from what goes well."""

from datetime import date

import pytest

from api.pages.verdict import verdict
from api.services.standing_promise import HowSure, Sure
from tests.support.pot_plan import pot_plan

TIERS = [tier.model_copy(update={"days_late": 0, "promised": date(2027, 2, 5)}) for tier in pot_plan().tiers]
FIRST, SECOND = (tier.tier for tier in TIERS[:2])


def simulated(on_time: float | None, first: float | None = 0.9, second: float | None = 0.9) -> HowSure:
    """Two tiers; the second is gone later."""
    a = Sure(date(2027, 1, 29), date(2027, 2, 2), date(2027, 2, 9), first)
    b = Sure(date(2027, 1, 29), date(2027, 2, 9), date(2027, 2, 16), second)
    return HowSure("s", False, {FIRST: a, SECOND: b}, 2000, on_time)


@pytest.mark.parametrize(
    ("on_time", "answer"),
    [
        (1.0, "Yes, most likely."),
        (0.8, "Yes, most likely."),
        (0.79, "More likely than not."),
        (0.5, "More likely than not."),
        (0.49, "Probably not all of them."),
        (0.2, "Probably not all of them."),
        (0.19, "Most likely not all of them."),
        (0.0, "Most likely not all of them."),
    ],
)
def test_the_answer_goes_by_the_chance_that_every_tier_ships_on_time(on_time, answer):
    assert verdict(TIERS, simulated(on_time)).answer == answer


def test_a_yes_says_when_all_is_gone_and_a_no_whose_promise_is_weakest():
    """The weakest is the one with the least chance; with equal chances the one that is broken for longest."""
    assert verdict(TIERS, simulated(0.9)).about == (
        f"80 % likely, the last parcel ({SECOND}) is gone by Tue 9 Feb 2027."
    )
    weak = verdict(TIERS, simulated(0.1, first=0.1, second=0.4)).about
    assert weak == f"{FIRST}, promised for Fri 5 Feb, is 80 % likely to be gone by Tue 2 Feb 2027."
    assert verdict(TIERS, simulated(0.1, 0.1, 0.1)).about.startswith(f"{SECOND}, promised")


def test_a_promise_at_the_door_is_not_measured_by_the_day_of_handing_over():
    door = [tier.model_copy(update={"promised_to": "door"}) for tier in TIERS]
    assert verdict(door, simulated(0.1, 0.25, 0.5)).about == f"{FIRST} has a chance of 25\u202f% to keep its promise."


def test_nothing_is_asserted_that_was_not_simulated():
    """If all goes well is said to be that; a tier that is late even then is named; no promise, no yes."""
    told = verdict(TIERS, HowSure())
    assert (told.answer, told.about) == ("Yes, if all goes well.", "How sure is not simulated yet.")
    assert verdict(TIERS, HowSure("s", at_work=True)).about == "How sure that is, is being simulated."
    late = [TIERS[0], TIERS[1].model_copy(update={"days_late": 3})]
    told = verdict(late, HowSure())
    assert told.answer == "No, not all of them."
    assert told.about == f"{SECOND} leaves 3 days late even if all goes well."
    free = [tier.model_copy(update={"promised": None}) for tier in TIERS]
    assert verdict(free, HowSure()).answer == "Nothing is promised."
    assert verdict(free, simulated(None, None, None)).answer == "Nothing is promised."
    assert verdict([], HowSure()).answer == "Nothing is left to send."
