"""What is busiest, and which lots waited for what though their press was free."""

from dataclasses import dataclass

import numpy as np

from planner.schedule import timing as w
from planner.schedule.instance import NEVER, Instance, Ints
from planner.schedule.lot_begins import lot_begin
from planner.schedule.timing import Timing


@dataclass(frozen=True)
class Load:
    """How busy a press, tool or bench is until the last work of its kind ends.

    kind: press, tool, finishing, assembly or packing."""

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


def loads(inst: Instance, timing: Timing) -> list[Load]:
    """Presses, tools and benches, busiest first. A share near 1 is the bottleneck. Benches are counted in hands."""
    found = []
    tool_busy = np.zeros(inst.mount_s.size, dtype=np.int64)
    end = int(timing.lots[:, w.END].max(initial=0))
    for p in range(inst.restart_s.size):
        mine = np.flatnonzero(timing.lots[:, w.PRESS] == p)
        busy = sum(seconds_kept(timing, int(j)) for j in mine)
        a, b = inst.open_ptr[p], inst.open_ptr[p + 1]
        found.append(Load("press", p, busy, hands_until(inst.open_start[a:b], inst.open_end[a:b], end)))
    for j in range(inst.lot_run.size):
        tool_busy[inst.run_tool[inst.lot_run[j]]] += seconds_kept(timing, j)
    for tool, ready in enumerate(inst.tool_ready.tolist()):
        found.append(Load("tool", tool, int(tool_busy[tool]), max(0, end - ready)))
    for bench in range(inst.finishing):
        work, jobs = inst.finish_work[bench], inst.job_work.size
        a, b = inst.finish_ptr[bench], inst.finish_ptr[bench + 1]
        until = int(timing.finished[bench * jobs : (bench + 1) * jobs, w.ENDED][work >= 0].max(initial=0))
        hands = hands_until(inst.finish_start[a:b], inst.finish_end[a:b], until, inst.finish_people[a:b])
        found.append(Load("finishing", bench, int(work.clip(min=0).sum()), hands))
    for kind, opens, closes, people, work, steps in (
        ("assembly", inst.asm_start, inst.asm_end, inst.asm_people, inst.job_work, timing.jobs),
        ("packing", inst.pack_start, inst.pack_end, inst.pack_people, inst.batch_work, timing.batches),
    ):
        until = int(steps[:, w.ENDED].max(initial=0))
        found.append(Load(kind, 0, int(work.sum()), hands_until(opens, closes, until, people)))
    return sorted(found, key=lambda load: (-load.share, load.kind, load.index))


def waits(inst: Instance, timing: Timing) -> list[Wait]:
    """Lots that began later than their press was free, and what they waited for, in order of time."""
    found = []
    for p in range(inst.restart_s.size):
        free = 0
        mine = np.flatnonzero(timing.lots[:, w.PRESS] == p)
        for j in sorted(mine, key=lambda j: lot_begin(timing, int(j))):
            row = timing.lots[j]
            begin = lot_begin(timing, int(j))
            if begin > free and row[w.WHY] != w.BY_PRESS:
                found.append(Wait(int(j), p, w.WAITED_FOR[int(row[w.WHY])], free, begin))
            free = int(row[w.END])
    return sorted(found, key=lambda wait: (wait.until, wait.press))


def seconds_kept(timing: Timing, lot: int) -> int:
    """Seconds a lot keeps its press: changeover, restarts and production."""
    row = timing.lots[lot]
    seconds = int(row[w.CO_END] - row[w.CO_START]) if row[w.CO_START] != NEVER else 0
    for piece in range(row[w.FIRST_PIECE], row[w.FIRST_PIECE] + row[w.PIECES]):
        opened, began, work, _, closing = timing.pieces[piece]
        seconds += int(began - opened + work + closing)
    return seconds


def hands_until(opens: Ints, closes: Ints, until: int, people: Ints | None = None) -> int:
    """Seconds open before a moment, times the hands there."""
    seconds = np.clip(np.minimum(closes, until) - opens, 0, None)
    return int((seconds * (1 if people is None else people)).sum())
