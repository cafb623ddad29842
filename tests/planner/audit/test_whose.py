"""Shares of a whole by what its parts weigh (RULES.md, K)."""

import pytest

from planner.audit.whose import blend


@pytest.mark.parametrize(
    ("parts", "shares"),
    [
        ([], {}),
        ([(0.0, {"a": 1.0})], {}),
        ([(3.0, {"a": 1.0})], {"a": 1.0}),
        ([(3.0, {"a": 1.0}), (1.0, {"b": 1.0})], {"a": 0.75, "b": 0.25}),
        ([(3.0, {"a": 1.0}), (0.0, {"b": 1.0})], {"a": 1.0}),
        ([(2.0, {"a": 0.5, "b": 0.5}), (2.0, {"b": 1.0})], {"a": 0.25, "b": 0.75}),
        ([(1.0, {"a": 1.0}), (1.0, {"a": 1.0})], {"a": 1.0}),
    ],
)
def test_parts_count_by_their_weight(parts, shares):
    """What weighs nothing is nobody's; together they are one."""
    assert blend(parts) == pytest.approx(shares)
