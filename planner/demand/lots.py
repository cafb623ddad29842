"""Run demands cut into lots, where the maker allows it and it could ship someone earlier."""

MOST_LOTS = 3
"""More lots widen the search faster than they help."""


def lots(shots: int, smallest: int | None) -> list[int]:
    """Shots of each lot: as equal as can be, each at least `smallest`; one lot where none is given."""
    if smallest is None or shots < 2 * smallest:
        return [shots]
    number = min(MOST_LOTS, shots // smallest)
    return [shots // number + (1 if n < shots % number else 0) for n in range(number)]
