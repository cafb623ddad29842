"""How much as planned things may turn out: early, likely and late of cycles, scrap, deliveries and the like, as rows of
fields for the maker to put right, and back into what a campaign says is unsure."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from api.pages.measures import figure

POINTS = ("early", "likely", "late")
PERCENT, DAYS = "per cent", "days"
_OF_TOOLS = (("cycle_share", "cycles", "the cycle of tool {}"), ("scrap_share", "scrap", "scrap of tool {}"),
             ("mount_share", "mounting tools", "mounting tool {}"))  # fmt: skip
_BY_NAME = (
    ("piece_days", "deliveries", "deliveries of {}", DAYS),
    ("resin_days", "deliveries", "deliveries of {}", DAYS),
    ("colour_days", "deliveries", "deliveries of masterbatch {}", DAYS),
    ("efficiency_share", "the efficiency of presses", "the efficiency of press {}", PERCENT),
    ("stops_share", "breakdowns", "breakdowns of press {}", PERCENT),
    ("purge_share", "purges", "how long press {} purges", PERCENT),
    ("bench_share", "work at the benches", "how fast the {} bench works", PERCENT),
)
_ORDER = ("cycles", "scrap", "deliveries")
"""The groups that most makers know something of; the others stand behind them."""


@dataclass(frozen=True)
class SpreadRow:
    """One thing that may turn out otherwise. path: where it stands in what is unsure; label: a sentence to be told."""

    group: str
    label: str
    unit: str
    path: tuple[str, ...]
    cells: tuple[str, ...]
    name: str = ""
    """What its fields are called, but for early, likely or late."""


def rows_of(unsure: Mapping[str, Any], whole: Mapping[str, Any]) -> list[SpreadRow]:
    """A row for each thing of the campaign. unsure: as its document says; whole: the common case of all it has, so that
    what is taken for sure has a row too, blank."""
    found = [row for row in _rows(unsure, whole) if row is not None]
    groups = list(dict.fromkeys([*_ORDER, *(row.group for row in found)]))
    in_order = sorted(found, key=lambda row: groups.index(row.group))
    return [replace(row, name=f"spread.{n}") for n, row in enumerate(in_order)]


def read(form: Mapping[str, str], rows: list[SpreadRow], unsure: dict[str, Any], currency: str) -> dict[str, str]:
    """Write what was typed into what is unsure; gives what is wrong, by field. Blank rows are taken for sure."""
    problems: dict[str, str] = {}
    for row in rows:
        typed = [form.get(f"{row.name}.{point}", "").strip() for point in POINTS]
        if tuple(typed) == row.cells:
            continue
        inside = unsure
        for step in row.path[:-1]:
            inside = inside.setdefault(step, {})
        if not any(typed):
            inside.pop(row.path[-1], None)
            continue
        values = []
        for point, text in zip(POINTS, typed, strict=True):
            try:
                value = figure(text.removesuffix("%"), "", currency)
            except ValueError as error:
                problems[f"{row.name}.{point}"] = str(error) if text else "give all three, or none"
                break
            values.append(round(value / 100, 9) if row.unit == PERCENT else value)
        else:
            if values != sorted(values):
                problems[f"{row.name}.late"] = "the three figures must rise, or be the same"
            inside[row.path[-1]] = inside.get(row.path[-1], {}) | dict(zip(POINTS, values, strict=True))
    return problems


def _rows(unsure: Mapping[str, Any], whole: Mapping[str, Any]) -> Iterator[SpreadRow | None]:
    for tool in whole.get("tools", {}):
        for key, group, label in _OF_TOOLS:
            yield _row(unsure, ("tools", tool, key), group, label.format(tool), PERCENT)
    for section, group, label, unit in _BY_NAME:
        for name in whole.get(section, {}):
            yield _row(unsure, (section, name), group, label.format(name), unit)
    yield _row(unsure, ("carrier_days",), "pick-ups by the carrier", "when the carrier comes", DAYS)


def _row(unsure: Mapping[str, Any], path: tuple[str, ...], group: str, label: str, unit: str) -> SpreadRow | None:
    """The row; none for a distribution that was fitted to measurements, which three figures do not say."""
    said: Any = unsure
    for step in path:
        said = (said or {}).get(step)
    if said and any(point not in said for point in POINTS):
        return None
    return SpreadRow(group, label, unit, path, tuple(_written(said[p], unit) for p in POINTS) if said else ("",) * 3)


def _written(value: float, unit: str) -> str:
    text = f"{value * 100 if unit == PERCENT else value:.6f}".rstrip("0").rstrip(".")
    return "0" if math.isclose(float(text), 0, abs_tol=1e-9) else text
