"""What makes dates unsure is said once for all tiers it shifts, not once for each of them."""

from api.pages.promises import Reason, reasons
from planner.promise.document import Driver, Promise
from planner.promise.make import make_promise
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan


def promised(**drivers: dict[str, float]) -> Promise:
    """A promise of tiers whose dates these reasons shift by so many days."""
    promise = make_promise(pot_campaign(), pot_plan(), 20)
    mould = promise.tiers[0]
    tiers = [
        mould.model_copy(
            update={
                "tier": tier,
                "drivers": [
                    Driver(rank=n, factor=about, about=about, correlation=0.5, days=days)
                    for n, (about, days) in enumerate(mine.items(), 1)
                ],
            }
        )
        for tier, mine in drivers.items()
    ]
    return promise.model_copy(update={"tiers": tiers})


def test_a_reason_of_all_tiers_is_said_once():
    found, still = reasons(promised(solo={"valve": 14.2, "felt": 3}, pair={"valve": 14.4, "felt": 3.1}))
    assert found == [
        Reason("valve", ["solo", "pair"], 14, 14, every=True),
        Reason("felt", ["solo", "pair"], 3, 3, every=True),
    ]
    assert still == []


def test_from_fewest_to_most_days_and_only_of_the_tiers_it_shifts():
    """The two greatest of each tier; less than half a day is none; a tier that nothing shifts is named apart."""
    promise = promised(
        solo={"valve": 9, "felt": 3, "ink": 2},
        pair={"valve": 14, "ink": 2, "felt": 1},
        duo={"valve": 0.4},
    )
    found, still = reasons(promise)
    assert found == [
        Reason("valve", ["solo", "pair"], 9, 14, every=False),
        Reason("felt", ["solo", "pair"], 1, 3, every=False),
        Reason("ink", ["solo", "pair"], 2, 2, every=False),
    ]
    assert still == ["duo"]
