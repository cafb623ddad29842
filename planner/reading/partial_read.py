"""A document with unreadable fields, cut down to what can be read, so that its other mistakes show as well."""

import re
from dataclasses import dataclass, replace
from typing import Any

from planner.errors import Problem
from planner.reading.checks.names import SINGULAR

Steps = tuple[str | int, ...]

STAND_INS: dict[str, Any] = {"name": "unreadable", "start": "2000-01-03T00:00"}
"""For fields a document must have; no check of names looks at them."""

_ORDER = re.compile(r"^/orders/(\d+)")


@dataclass(frozen=True)
class Rest:
    """data: the document without what cannot be read. gone: ids that were cut out with it.

    lines: for each order line left, its number in the whole document.
    """

    data: dict[str, Any]
    gone: frozenset[str]
    lines: tuple[int, ...]

    def in_place(self, problem: Problem) -> Problem | None:
        """A problem of the rest as one of the whole document; None where it only comes from the cutting."""
        if any(f"`{name}`" in problem.message for name in self.gone):
            return None
        match = _ORDER.match(problem.pointer)
        if match is None:
            return problem
        number = self.lines[int(match.group(1))]
        message = problem.message.replace(f"order line {int(match.group(1)) + 1} ", f"order line {number + 1} ")
        return replace(problem, pointer=f"/orders/{number}{problem.pointer[match.end() :]}", message=message)


def readable_rest(data: object, failing: list[Steps]) -> Rest | None:
    """Cut out the thing each failing field belongs to: its order line, its press, its tool, ..., else its section."""
    if not isinstance(data, dict):
        return None
    rest: dict[str, Any] = {**data}
    cut: dict[str, set[str | int]] = {}
    for steps in failing:
        if not steps:
            return None
        section = str(steps[0])
        if len(steps) > 1 and (section in SINGULAR or section == "orders"):
            cut.setdefault(section, set()).add(steps[1])
        elif section in STAND_INS:
            rest[section] = STAND_INS[section]
        elif section in SINGULAR or section == "orders":
            return None
        else:
            rest.pop(section, None)
    lines: tuple[int, ...] = ()
    for section, names in cut.items():
        if section == "orders" and isinstance(rest[section], list):
            lines = tuple(n for n in range(len(rest[section])) if n not in names)
            rest[section] = [rest[section][n] for n in lines]
        elif isinstance(rest[section], dict):
            rest[section] = {name: thing for name, thing in rest[section].items() if name not in names}
    if not lines and isinstance(rest.get("orders"), list):
        lines = tuple(range(len(rest["orders"])))
    gone = frozenset(str(name) for section, names in cut.items() if section != "orders" for name in names)
    return Rest(rest, gone, lines)
