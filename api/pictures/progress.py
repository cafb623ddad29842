"""Planning as it goes: the best plan's cost coming down to the bound no plan can go under."""

from dataclasses import dataclass
from datetime import datetime

from api.pictures.drawing import draw

WIDTH, HEIGHT = 640.0, 180.0
LEFT, RIGHT, TOP, BOTTOM = 8.0, 8.0, 12.0, 24.0


@dataclass(frozen=True)
class Point:
    """What was known at a moment. Money in the campaign's currency; None: not known yet."""

    at: datetime
    cost: float | None
    bound: float | None


def progress_svg(points: list[Point], begun: datetime, budget: float) -> str:
    """Steps of the cost above, of the bound below; time from the begin to the end of the budget (s)."""
    known = [p for p in points if p.cost is not None or p.bound is not None]
    amounts = [v for p in known for v in (p.cost, p.bound) if v is not None]
    low, high = (min(amounts), max(amounts)) if amounts else (0.0, 1.0)
    room = (high - low) * 0.08 or max(1.0, abs(high) * 0.01)
    low, high = low - room, high + room
    seconds = max([budget, *((p.at - begun).total_seconds() for p in known)])

    def steps(values: list[tuple[datetime, float | None]]) -> str:
        path, last = [], None
        for at, value in values:
            if value is None:
                continue
            x = LEFT + (WIDTH - LEFT - RIGHT) * max(0.0, (at - begun).total_seconds()) / seconds
            y = TOP + (HEIGHT - TOP - BOTTOM) * (high - value) / (high - low)
            path.append(f"M{x:.1f},{y:.1f}" if last is None else f"H{x:.1f}V{y:.1f}")
            last = value
        return "".join(path)

    return draw(
        "progress.svg",
        width=WIDTH,
        height=HEIGHT,
        base=HEIGHT - BOTTOM,
        left=LEFT,
        right=WIDTH - RIGHT,
        cost=steps([(p.at, p.cost) for p in known]),
        bound=steps([(p.at, p.bound) for p in known]),
        budget=seconds,
    )
