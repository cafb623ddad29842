"""The gap that people are shown, by one formula (M4): the share of what an order of work decides that could be saved.

Why not of the whole cost: most of it (material, pieces, labour) no order of work changes, and a share of that says
little about how good a plan is.
"""


def relative_gap(value: float, bound: float) -> float:
    """(value - bound) / value: of the whole, as programs ask for it; 0 where there is nothing."""
    return (value - bound) / value if value else 0.0


def avoidable_gap(cost: float, bound: float, fixed: float) -> float:
    """(cost - bound) / (cost - fixed), from 0 to 1; 0 where there is nothing to avoid.

    fixed: money that no order of work changes, which no plan undercuts either.
    """
    avoidable = cost - fixed
    if avoidable <= 0.0:
        return 0.0
    return min(1.0, max(0.0, cost - bound) / avoidable)
