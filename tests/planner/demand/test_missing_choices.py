"""Choices not made yet: totals conserved, shares kept, the rule said."""

from collections import Counter
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.demand.choices import Answered, OpenChoice, largest_remainder, plan_missing
from tests.support.sampled import examples

OFFERED = {"planter": ["sage", "clay", "night"]}


def test_hamilton_apportionment_example() -> None:
    """Largest remainders on a textbook example of Hamilton's method, recalled from memory.

    25 seats for populations 1656, 774, 512, 58 (thousands): quotas 13.8, 6.45, 4.267, .483 give 14, 6, 4, 1.
    """
    seats = largest_remainder(25, {"a": 1656, "b": 774, "c": 512, "d": 58})
    assert seats == {"a": 14, "b": 6, "c": 4, "d": 1}


@given(st.integers(0, 10_000), st.dictionaries(st.text(max_size=3), st.integers(0, 10**6), min_size=1))
def test_largest_remainder_conserves_and_stays_within_one(total: int, weights: dict[str, int]) -> None:
    """Adds up exactly; nobody is more than one unit from the exact share (Hamilton's method keeps quota)."""
    whole = sum(weights.values())
    if whole == 0:
        with pytest.raises(ValueError, match="above 0"):
            largest_remainder(total, weights)
        return
    parts = largest_remainder(total, weights)
    assert sum(parts.values()) == total
    assert all(abs(parts[n] - Fraction(total * w, whole)) < 1 for n, w in weights.items())


@settings(max_examples=examples(100), deadline=None)
@given(
    st.lists(st.tuples(st.sampled_from(["one", "pair"]), st.sampled_from(OFFERED["planter"]), st.integers(1, 60))),
    st.lists(st.tuples(st.sampled_from(["one", "pair"]), st.integers(1, 30)), max_size=40),
)
def test_nothing_lost_or_invented(answers: list[tuple[str, str, int]], open_: list[tuple[str, int]]) -> None:
    """Every open unit gets exactly one colourway on offer; pools, choices and the list agree."""
    answered = [Answered(tier, "planter", colour, n) for tier, colour, n in answers]
    missing = [OpenChoice((i, 0), tier, "planter", n) for i, (tier, n) in enumerate(open_)]
    done = plan_missing(answered, missing, OFFERED, 0.1)
    assert [c.key for c in done.choices] == [c.key for c in missing]
    by_pool: dict[str, Counter[str]] = {"one": Counter(), "pair": Counter()}
    for asked, got in zip(missing, done.choices, strict=True):
        assert sum(n for _, n in got.colourways) == asked.orders
        by_pool[asked.tier].update(dict(got.colourways))
    for pool in done.pools:
        assert {c: n for c, n in pool.planned.items() if n} == dict(by_pool[pool.tier])
        assert sum(pool.planned.values()) == pool.missing
        assert all(pool.safety[c] * 10 >= n > 10 * (pool.safety[c] - 1) for c, n in pool.planned.items() if n)


def test_shares_come_from_the_tier_then_from_all_then_equal() -> None:
    """Twenty answers of the own tier suffice; else all tiers; else all alike. The rule says which."""
    missing = [OpenChoice((1, 0), "one", "planter", 30)]
    own = [Answered("one", "planter", "sage", 15), Answered("one", "planter", "clay", 5)]
    other = [Answered("pair", "planter", "night", 60)]
    pool = plan_missing([*own, *other], missing, OFFERED, 0).pools[0]
    assert pool.planned == {"sage": 22, "clay": 8, "night": 0}  # 22.5 and 7.5: the tie goes to the first name
    assert "20 units answered in tier one" in pool.rule
    pool = plan_missing([*own[:1], *other], missing, OFFERED, 0).pools[0]
    assert pool.planned == {"sage": 6, "clay": 0, "night": 24}
    assert "75 units answered in all tiers" in pool.rule
    pool = plan_missing([], missing, OFFERED, 0).pools[0]
    assert pool.planned == {"sage": 10, "clay": 10, "night": 10}
    assert "nobody has answered" in pool.rule


def test_mix_is_even_along_the_list() -> None:
    """Any stretch of the list has the overall mix to within one unit or so, not all sage first."""
    answered = [Answered("one", "planter", "sage", 60), Answered("one", "planter", "clay", 40)]
    missing = [OpenChoice((i, 0), "one", "planter") for i in range(100)]
    done = plan_missing(answered, missing, OFFERED, 0.0)
    for end in range(1, 101):
        sage = sum(c.colourways[0][0] == "sage" for c in done.choices[:end])
        assert abs(sage - 0.6 * end) <= 1


def test_refusals() -> None:
    """A product without colourways and a negative safety share are refused."""
    with pytest.raises(ValueError, match="no colourways"):
        plan_missing([], [OpenChoice((1, 0), "one", "lamp")], OFFERED)
    with pytest.raises(ValueError, match="must not be below 0"):
        plan_missing([], [], OFFERED, -0.1)
