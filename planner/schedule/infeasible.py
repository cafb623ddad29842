"""Why nothing can be carried out: one thing is let go at a time, and what makes a plan possible is the reason.

Cores of a solver name variables; a maker needs a sentence. Each easing below is the smallest change of its kind, tried
on the compiled instance by the same constructive rules that found nothing without it.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from planner.errors import Problem
from planner.schedule.compiled import Names
from planner.schedule.compiled.materials import COMPOUND
from planner.schedule.construct import first_plans
from planner.schedule.instance import NEVER, Instance
from planner.schedule.tape import tape
from planner.schedule.timing import timing_for


@dataclass(frozen=True)
class Easing:
    """One thing let go, and what to say if that makes a plan possible."""

    eased: Instance
    problem: Problem


def reasons(inst: Instance, names: Names) -> list[Problem]:
    """Each single easing that makes a plan possible, as a problem with its remedy; one general problem if none does."""
    tries = [easing for kind in EASINGS for easing in kind(inst, names)]
    found = [easing.problem for easing in tries if first_plans(easing.eased, tape(easing.eased), timing_for(inst))]
    if found:
        return found
    return [
        Problem(
            "",
            "no order of work can be carried out, and no single change was found that would make one possible",
            "look at press hours, deliveries, forbidden pairs and pick-ups together: more than one is in the way",
        )
    ]


def _forbidden_pairs(inst: Instance, names: Names) -> Iterator[Easing]:
    if inst.clash.any():
        yield Easing(
            inst._replace(clash=np.zeros_like(inst.clash)),
            Problem(
                "/presses",
                "resins that must never share a barrel have too few presses to be kept apart",
                "let one of their tools run on one more press, or mould one of them elsewhere; no purge makes it safe",
            ),
        )


def _materials(inst: Instance, names: Names) -> Iterator[Easing]:
    for n, (kind, name) in enumerate(names.materials):
        last = int(inst.supply_ptr[n + 1]) - 1
        if np.isinf(inst.supply_kg[last]):
            continue
        supply = inst.supply_kg.copy()
        supply[last] = np.inf
        where = "/purging/compound" if kind == COMPOUND else f"/{'resins' if kind == 'resin' else 'colours'}/{name}"
        yield Easing(
            inst._replace(supply_kg=supply),
            Problem(
                where,
                f"{kind} `{name}` runs out: {inst.supply_kg[last]:g} kg are in stock or agreed, no more can be bought",
                "give lead_days so that more can be bought, or add an arrival",
            ),
        )


def _pieces(inst: Instance, names: Names) -> Iterator[Easing]:
    for g, good in enumerate(names.goods):
        last = int(inst.piece_ptr[g + 1]) - 1
        if isinstance(good, tuple) or inst.piece_count[last] >= NEVER:
            continue
        counts = inst.piece_count.copy()
        counts[last] = NEVER
        yield Easing(
            inst._replace(piece_count=counts),
            Problem(
                f"/pieces/{good}",
                f"bought-in piece `{good}` runs out: {inst.piece_count[last]} are in stock or agreed",
                "give lead_days so that more can be bought, or add an arrival",
            ),
        )


def _press_hours(inst: Instance, names: Names) -> Iterator[Easing]:
    for p, name in enumerate(names.presses):
        a, b = int(inst.open_ptr[p]), int(inst.open_ptr[p + 1])
        end = int(inst.open_end[b - 1]) if b > a else 540 * 86400
        starts = np.concatenate((inst.open_start[:a], [0], inst.open_start[b:]))
        ends = np.concatenate((inst.open_end[:a], [end], inst.open_end[b:]))
        pointers = inst.open_ptr.copy()
        pointers[p + 1 :] -= b - a - 1
        yield Easing(
            inst._replace(open_start=starts, open_end=ends, open_ptr=pointers),
            Problem(
                f"/presses/{name}/hours",
                f"press `{name}` is not open long enough at a stretch, or not often enough, for its work",
                "open it longer: a changeover has to fit into one stretch of hours",
            ),
        )


def _tool_ready(inst: Instance, names: Names) -> Iterator[Easing]:
    for tool, name in enumerate(names.tools):
        if inst.tool_ready[tool] > 0:
            ready = inst.tool_ready.copy()
            ready[tool] = 0
            yield Easing(
                inst._replace(tool_ready=ready),
                Problem(f"/tools/{name}/ready", f"tool `{name}` is ready too late", "have it ready sooner"),
            )


EASINGS: tuple[Callable[[Instance, Names], Iterator[Easing]], ...] = (
    _forbidden_pairs,
    _materials,
    _pieces,
    _press_hours,
    _tool_ready,
)
