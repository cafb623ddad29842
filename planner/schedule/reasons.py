"""Why a plan is as it is: what is busiest, what each run waits for, what a little more of something is worth."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from planner.control import Control
from planner.schedule import timing as w
from planner.schedule.instance import NEVER, Instance, Ints
from planner.schedule.search import Budget, search
from planner.schedule.solution import Solution, objective_of
from planner.schedule.tape import tape
from planner.schedule.timing import Timing, timing_for

HOUR_S = 3600


@dataclass(frozen=True)
class Load:
    """How busy a press, tool or bench is until its last work ends. kind: press, tool, assembly or packing."""

    kind: str
    index: int
    busy_s: int
    available_s: int

    @property
    def share(self) -> float:
        return self.busy_s / self.available_s if self.available_s else 0.0


@dataclass(frozen=True)
class Wait:
    """A lot that did not start when its press was free: for what (a word of WAITED_FOR), from and until when."""

    lot: int
    press: int
    waited_for: str
    since: int
    until: int


@dataclass(frozen=True)
class Worth:
    """What a little more would change. kind: press hour, assembler, packer or setter; saves in money, sooner in s."""

    kind: str
    index: int
    saves: float
    sooner_s: int


def loads(inst: Instance, timing: Timing) -> list[Load]:
    """Presses, tools and benches, busiest first. A share near 1 is the bottleneck. Benches are counted in hands."""
    found = []
    tool_busy = np.zeros(inst.mount_s.size, dtype=np.int64)
    end = int(timing.lots[:, w.END].max(initial=0))
    for p in range(inst.restart_s.size):
        mine = np.flatnonzero(timing.lots[:, w.PRESS] == p)
        busy = sum(_seconds(timing, int(j)) for j in mine)
        a, b = inst.open_ptr[p], inst.open_ptr[p + 1]
        until = int(timing.lots[mine, w.END].max(initial=0))
        found.append(Load("press", p, busy, _open(inst.open_start[a:b], inst.open_end[a:b], until)))
    for j in range(inst.lot_run.size):
        tool_busy[inst.run_tool[inst.lot_run[j]]] += _seconds(timing, j)
    for tool, ready in enumerate(inst.tool_ready.tolist()):
        found.append(Load("tool", tool, int(tool_busy[tool]), max(0, end - ready)))
    for kind, opens, closes, people, work, steps in (
        ("assembly", inst.asm_start, inst.asm_end, inst.asm_people, inst.job_work, timing.jobs),
        ("packing", inst.pack_start, inst.pack_end, inst.pack_people, inst.batch_work, timing.batches),
    ):
        until = int(steps[:, w.ENDED].max(initial=0))
        found.append(Load(kind, 0, int(work.sum()), _open(opens, closes, until, people)))
    return sorted(found, key=lambda load: (-load.share, load.kind, load.index))


def waits(inst: Instance, timing: Timing) -> list[Wait]:
    """Lots that began later than their press was free, and what they waited for, in order of time."""
    found = []
    for p in range(inst.restart_s.size):
        free = 0
        mine = np.flatnonzero(timing.lots[:, w.PRESS] == p)
        for j in sorted(mine, key=lambda j: int(timing.lots[j, w.START])):
            row = timing.lots[j]
            begins = int(row[w.CO_START]) if row[w.CO_START] != NEVER else _opened(timing, int(j))
            if begins > free and row[w.WHY] != w.BY_PRESS:
                found.append(Wait(int(j), p, w.WAITED_FOR[int(row[w.WHY])], free, begins))
            free = int(row[w.END])
    return sorted(found, key=lambda wait: (wait.until, wait.press))


def worth(inst: Instance, solution: Solution, rounds: int, seed: int, control: Control) -> list[Worth]:
    """What one more hour a stretch on each press, assembler, packer or setter would save, most first.

    Each is planned anew from the plan at hand for so many rounds; the plan at hand itself is given as many, so that
    the difference is what the change is worth. The same order of work with more hours is never counted as a loss.
    """
    base_solution = search(inst, Budget(rounds, seed, 0.0), control, solution).solution
    base = _figures(inst, base_solution)
    found = []
    for kind, index, more in _more_of_something(inst):
        if control.should_stop():
            break
        better = search(more, Budget(rounds, seed, 0.0), control, base_solution).solution
        cost, last = _figures(more, better)
        found.append(Worth(kind, index, max(0.0, base[0] - cost), base[1] - last))
    return sorted(found, key=lambda item: (-item.saves, item.kind, item.index))


def _figures(inst: Instance, solution: Solution) -> tuple[float, int]:
    timing = timing_for(inst)
    objective_of(tape(inst), solution, timing)
    return float(timing.totals[w.COST]), int(timing.totals[w.LAST])


def _more_of_something(inst: Instance) -> Iterator[tuple[str, int, Instance]]:
    for p in range(inst.restart_s.size):
        a, b = int(inst.open_ptr[p]), int(inst.open_ptr[p + 1])
        ends = inst.open_end.copy()
        # an hour more, but never into the next stretch: touching ones would be one
        ends[a:b] = np.minimum(ends[a:b] + HOUR_S, np.append(inst.open_start[a + 1 : b] - 1, NEVER))
        yield "press hour", p, inst._replace(open_end=np.maximum(ends, inst.open_end))
    yield "assembler", 0, inst._replace(asm_people=inst.asm_people + 1)
    yield "packer", 0, inst._replace(pack_people=inst.pack_people + 1)
    yield "setter", 0, inst._replace(setters=inst.setters + 1)


def _seconds(timing: Timing, lot: int) -> int:
    """Seconds a lot keeps its press: changeover, restarts and production."""
    row = timing.lots[lot]
    seconds = int(row[w.CO_END] - row[w.CO_START]) if row[w.CO_START] != NEVER else 0
    for piece in range(row[w.FIRST_PIECE], row[w.FIRST_PIECE] + row[w.PIECES]):
        opened, began, work, _ = timing.pieces[piece]
        seconds += int(began - opened + work)
    return seconds


def _opened(timing: Timing, lot: int) -> int:
    return int(timing.pieces[timing.lots[lot, w.FIRST_PIECE], w.OPENED])


def _open(opens: Ints, closes: Ints, until: int, people: Ints | None = None) -> int:
    """Seconds open before a moment, times the hands there."""
    seconds = np.clip(np.minimum(closes, until) - opens, 0, None)
    return int((seconds * (1 if people is None else people)).sum())
