"""Why nothing can be carried out: one thing is let go at a time, and what makes a plan possible is the reason.

Cores of a solver name variables; a maker needs a sentence. Each easing below is the smallest change of its kind. Where
it is proven that there is no plan, an easing is a reason if the same proof fails without it and a plan is found; where
there is no proof, what makes a plan possible is said to make room, and nothing is called impossible.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from planner.control import Control
from planner.errors import Infeasible, NoneFound, PlannerError, Problem
from planner.schedule.any_plan import BY_PATHS, any_plan
from planner.schedule.construct import first_plans
from planner.schedule.encode import Names
from planner.schedule.encode.materials import COMPOUND
from planner.schedule.instance import NEVER, NO_MOMENTS, Instance, packed_instance
from planner.schedule.paths import proven_impossible
from planner.schedule.timing import timing_for

ROUNDS = 2
"""Of looking for a plan with one thing let go."""


@dataclass(frozen=True)
class Easing:
    """One thing let go, and what to say if that makes a plan possible."""

    eased: Instance
    problem: Problem


class NoPlan(Exception):
    """No plan was found. proof: why there is none, in words; "" where there may be one. seconds: how long it was looked
    for, of a budget of time."""

    def __init__(self, proof: str = "", seconds: float | None = None) -> None:
        self.proof, self.seconds = proof, seconds
        super().__init__(proof or "none found")


def refusal(inst: Instance, names: Names, none: NoPlan, control: Control) -> PlannerError:
    """What to say: infeasible, with the reasons of the proof; or that none was found, and what would make room."""
    if not none.proof:
        return NoneFound([_not_found(none), *_room(inst, names, none, control)])
    found = _room(inst, names, none, control)
    return Infeasible(found or [_proven(none)])


def _room(inst: Instance, names: Names, none: NoPlan, control: Control) -> list[Problem]:
    """Each single easing that makes a plan possible, as a problem with its remedy; at the least one that undoes the
    proof, where no plan is found with any."""
    tries = [easing for kind in EASINGS for easing in kind(inst, names)]
    found = [easing.problem for easing in tries if not control.should_stop() and _possible(easing.eased, control)]
    if found or none.proof != BY_PATHS:
        return found
    return [easing.problem for easing in tries if not proven_impossible(easing.eased)]


def _possible(inst: Instance, control: Control) -> bool:
    arrays, timing = packed_instance(inst), timing_for(inst)
    if first_plans(inst, arrays, timing):
        return True
    return any_plan(inst, arrays, timing, _InRounds(control), ROUNDS, 0).plan is not None


class _InRounds:
    """Without a deadline, since rounds end it; still hears a stop."""

    def __init__(self, control: Control) -> None:
        self.should_stop = control.should_stop

    def seconds_left(self) -> float | None:
        return None

    def cores(self) -> int:
        return 1

    def report(self, progress: object) -> None:
        return None


def _proven(none: NoPlan) -> Problem:
    return Problem(
        "",
        "no order of work can be carried out, and no single change was found that would make one possible: "
        f"{none.proof}",
        "look at press hours, deliveries, forbidden pairs and pick-ups together: more than one is in the way",
    )


def _not_found(none: NoPlan) -> Problem:
    spent = f" in {none.seconds:.0f} s" if none.seconds is not None and none.seconds >= 1.0 else ""
    return Problem(
        "",
        f"no plan was found{spent}; that does not mean there is none",
        "give `planning.seconds` more time, or change one of the things below that would make room",
    )


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
        have = inst.piece_count[last] + (inst.over_total[g] if inst.over_total.size else 0)  # moulds are served first
        yield Easing(
            inst._replace(piece_count=counts),
            Problem(
                f"/pieces/{good}",
                f"bought-in piece `{good}` runs out: {have} are in stock or agreed",
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
            inst._replace(open_start=starts, open_end=ends, open_ptr=pointers, hands_end=NO_MOMENTS),
            Problem(
                f"/presses/{name}/hours",
                f"press `{name}` is not open long enough at a stretch, or not often enough, for its work",
                "open it longer: a changeover has to fit into one stretch of hours",
            ),
        )


def _dryers(inst: Instance, names: Names) -> Iterator[Easing]:
    for d, name in enumerate(names.dryers):
        mine = inst.run_dryer == d
        if np.isfinite(inst.dryer_holds[mine]).any():
            resins = {names.materials[m][1] for m in inst.melt_resin[inst.run_melt[mine]].tolist()}
            yield Easing(
                inst._replace(dryer_holds=np.where(mine, np.inf, inst.dryer_holds)),
                Problem(
                    f"/resins/{min(resins)}/dryer_kg",
                    f"dryer `{name}` holds too little for what runs and the purges before them draw while it dries",
                    "give it more (`dryer_kg`), or mould on slower presses",
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
    _dryers,
    _tool_ready,
)
