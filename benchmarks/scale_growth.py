"""Growth with the number of runs, as a table (CSV) and a plot (SVG): seconds to an avoidable gap of 5 %, and memory."""

import csv
import math
from pathlib import Path
from statistics import median
from typing import Any

WIDTH, HEIGHT, EDGE = 420, 300, 48


def write_growth(rows: list[dict[str, Any]], folder: Path) -> None:
    """`growth.csv` and `growth.svg` in the folder. rows: of `one_run`."""
    folder.mkdir(parents=True, exist_ok=True)
    grown = growth(rows)
    with (folder / "growth.csv").open("w", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["size", "runs", "campaigns", "within 5 %", "median s to 5 %", "worst MiB"])
        writer.writerows(grown)
    (folder / "growth.svg").write_text(picture(grown))


def growth(rows: list[dict[str, Any]]) -> list[tuple[str, int, int, int, float | None, float]]:
    """(size, runs, campaigns, those within 5 %, median seconds of all, None if half never came so near; worst MiB)"""
    found = []
    for size in dict.fromkeys(row["size"] for row in rows):
        mine = [row for row in rows if row["size"] == size]
        seconds = [row["s to 5 %"] for row in mine]
        near = [s for s in seconds if s is not None]
        middle = median(math.inf if s is None else s for s in seconds)
        memory = max(row["MiB"] for row in mine)
        known = None if math.isinf(middle) else middle
        found.append((size, mine[0]["runs"], len(mine), len(near), known, round(memory, 1)))
    return sorted(found, key=lambda row: row[1])


def picture(grown: list[tuple[str, int, int, int, float | None, float]]) -> str:
    """Both curves side by side, runs on a logarithmic scale; a size that never came within 5 % has no point."""
    time = [(row[0], row[1], row[4]) for row in grown]
    memory: list[tuple[str, int, float | None]] = [(row[0], row[1], row[5]) for row in grown]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {2 * WIDTH} {HEIGHT}" font-family="sans-serif" '
        f'font-size="12"><rect width="{2 * WIDTH}" height="{HEIGHT}" fill="#fff"/>'
        + _curve(time, 0, "seconds to an avoidable gap of 5 % (log)", True)
        + _curve(memory, WIDTH, "most memory held, MiB", False)
        + "</svg>\n"
    )


def _curve(points: list[tuple[str, int, float | None]], left: int, title: str, logarithmic: bool) -> str:
    known = [(name, runs, value) for name, runs, value in points if value is not None]
    drawn = [f'<text x="{left + EDGE}" y="20">{title}</text>']
    scale = (lambda v: math.log10(max(v, 0.01))) if logarithmic else float
    heights = [scale(value) for _, _, value in known] or [0.0]
    low, high = (min(heights), max(heights)) if logarithmic else (0.0, max(heights))
    across = [math.log10(runs) for _, runs, _ in points] or [0.0]
    placed = []
    for name, runs, value in known:
        x = left + EDGE + (WIDTH - 2 * EDGE) * _share(math.log10(runs), min(across), max(across))
        y = HEIGHT - EDGE - (HEIGHT - 2 * EDGE) * _share(scale(value), low, high)
        placed.append(f"{x:.1f},{y:.1f}")
        drawn.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3"/>')
        drawn.append(f'<text x="{x + 5:.1f}" y="{y - 6:.1f}">{value:.3g}</text>')
        drawn.append(f'<text x="{x:.1f}" y="{HEIGHT - EDGE + 18}" text-anchor="middle">{name} {runs}</text>')
    drawn.append(f'<polyline points="{" ".join(placed)}" fill="none" stroke="#000"/>')
    base = HEIGHT - EDGE
    drawn.append(f'<path d="M{left + EDGE},{EDGE} V{base} H{left + WIDTH - EDGE}" fill="none" stroke="#888"/>')
    drawn.append(f'<text x="{left + WIDTH / 2}" y="{HEIGHT - 8}" text-anchor="middle">runs (log)</text>')
    return "".join(drawn)


def _share(value: float, low: float, high: float) -> float:
    return (value - low) / (high - low) if high > low else 0.5
