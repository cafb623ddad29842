"""Every figure, moment and name in a plan, and the smallest change of it that matters."""

import copy
import re
from collections.abc import Iterator
from typing import Any

from planner.plan.document import RunPlan
from tests.support.spoils.ways import later

Path = tuple[str | int, ...]

AUDITED = (
    "currency", "time_zone", "start", "outcome", "tiers", "runs", "balance", "materials", "pieces", "assembly",
    "batches", "dispatches", "costs", "purge_kg",
)  # fmt: skip
"""Sections of the plan that A1 to A13 speak of."""

TOLD_NOT_AUDITED = (
    r"(runs|assembly)/\d+/id",  # nothing else in the plan refers to them; that runs have names of their own is audited
    r"outcome/(ended|aim_basis|bound_basis|seed|rounds|model_hash|versions.*)",
    r"runs/\d+/changeover/purges/\d+/kg_p(10|90)",  # the range of an estimate; that it holds the figure is audited
    r"(materials|pieces)/\d+/order_by",  # any day that is early enough
    r"runs/\d+/changeover/setter",  # any who is free
)
"""Fields in them that no rule speaks of."""


def leaves(plan: RunPlan) -> list[Path]:
    """Paths of all values of the plan that a rule speaks of."""
    silent = re.compile("|".join(f"(?:{pattern})" for pattern in TOLD_NOT_AUDITED))
    data = plan.model_dump(mode="json", by_alias=True)
    found = leaves_of({section: data[section] for section in AUDITED}, ())
    return [path for path in found if not silent.fullmatch("/".join(map(str, path)))]


def leaves_of(value: Any, path: Path) -> Iterator[Path]:
    """Paths of all values below."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from leaves_of(inner, (*path, key))
    elif isinstance(value, list):
        for number, inner in enumerate(value):
            yield from leaves_of(inner, (*path, number))
    elif value is not None:
        yield path


def nudged(plan: RunPlan, path: Path) -> RunPlan:
    """The plan with that one value changed a little: a count by one, a moment by a second, a figure by a twentieth."""
    data = copy.deepcopy(plan.model_dump(mode="json", by_alias=True))
    place: Any = data
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = _other_way(path, place[path[-1]]) or _nudge(place[path[-1]])
    return RunPlan.model_validate(data)


def _other_way(path: Path, value: Any) -> str | None:
    """The purging compound is a way of purging, a material and a cost line: each has another counterpart."""
    if value != "purging compound":
        return None
    return {"way": "melt alone", "kind": "resin", "what": "lateness"}[str(path[-1])]


def _nudge(value: Any) -> Any:
    if isinstance(value, int):
        return value + 1
    if isinstance(value, float):
        return value * 1.05 + 0.05
    if re.fullmatch(r"\d{4}-\d\d-\d\dT.*", value):
        return later(value, 1)
    if re.fullmatch(r"\d{4}-\d\d-\d\d", value):
        return value[:8] + ("10" if value[8:] != "10" else "11")
    swaps = {
        "barrel": "hot runner", "hot runner": "barrel", "given": "estimated", "estimated": "given",
        "melt alone": "purging compound",
        "resin": "masterbatch", "masterbatch": "resin", "feasible": "optimal",
        "optimal": "feasible", "press hours": "lateness",
        "press": "tool", "tool": "press", "assembly": "packing", "packing": "assembly", "run": "changeover",
        "changeover": "run", "material": "piece", "piece": "material", "tool ready": "tool elsewhere",
        "tool elsewhere": "tool ready", "setter": "material", "pick-up": "rest", "rest": "pick-up", "hand-over": "door",
        "door": "hand-over",
    }  # fmt: skip
    return swaps.get(value, "press hours" if " " in value or value in ("disposal", "lateness") else "zz")
