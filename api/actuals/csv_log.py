"""The floor's log as CSV: a heading line with the fields' names, one entry a line; empty cells are left out.

Colours of two barrels are written `sage + charcoal`, good parts `shell=390; tray=395`. Where a colour's name holds a +
or a part's a semicolon, the entry is sent as JSON.
"""

import csv
import io
from typing import Any

from planner.errors import Problem

LONGEST_CELL = 2000


def rows(text: str) -> tuple[list[tuple[int, dict[str, Any]]], list[Problem]]:
    """Each entry with its line number in the file, and what cannot be read."""
    problems: list[Problem] = []
    reader = csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""), delimiter=_delimiter(text))
    found = []
    headings: list[str] = []
    try:
        for cells in reader:
            line = reader.line_num
            if not headings:
                headings = [cell.strip().lower().replace(" ", "_") for cell in cells]
                if "what" not in headings or "at" not in headings:
                    remedy = "begin with a line such as what,at,press,tool,colours,shots,good,hours"
                    return [], [Problem(f"line {line}", "the heading line names no `what` or no `at`", remedy)]
                continue
            if not any(cell.strip() for cell in cells):
                continue
            if len(cells) > len(headings):
                remedy = "put cells that hold a comma into quotes"
                problems.append(Problem(f"line {line}", f"{len(cells)} cells under {len(headings)} headings", remedy))
                continue
            filled = {h: c.strip() for h, c in zip(headings, cells, strict=False) if h and c.strip()}
            found.append((line, {name: _value(name, cell) for name, cell in filled.items()}))
    except csv.Error as error:
        problems.append(Problem(f"line {reader.line_num}", f"not CSV: {error}", "save it as CSV again"))
    return found, problems


def _delimiter(text: str) -> str:
    first = text.partition("\n")[0]
    return ";" if first.count(";") > first.count(",") else ","


def _value(name: str, cell: str) -> Any:
    if name == "colours":
        return [colour.strip() for colour in cell.split("+")]
    if name == "good":
        pairs = [pair.rpartition("=") for pair in cell.split(";") if pair.strip()]
        return {part.strip(): count.strip() for part, _, count in pairs}
    return cell
