"""Lots that stand for each other: of one run demand, with as many shots, none of them pinned. And what is left of them.

Why: three lots of one run are one kind with three to place, so that 21 lots of ten run demands have 55,296 sets
instead of two million.
"""

from dataclasses import dataclass

import numpy as np

from planner.schedule.instance import Instance, Ints

MOST_CELLS = 8_000_000
"""Sets of lots times last runs on the presses: 64 MB."""
MOST_RUNS, MOST_PRESSES = 60, 4


@dataclass(frozen=True)
class Kinds:
    """C kinds of lots. run, total (C): run demand and lots of each; lots: those of kind c end at `ends[c]`.

    fits (P, C). group (C): lots of one run demand together, those pinned apart. together, steps (G): lots of each
    group, and what one of them counts in the number of a set of lots; strides (C): the same by kind. pinned (P, 1 +
    most): how many lots are pinned to the head of each press, and their kinds. last_of (P, R + 1): number of run r as
    the last of press p (-1: does not fit), then of none. offsets (2^P, P + 2): by the presses that take no more, what a
    step of each press's last run counts, where its table begins, and how many last runs it has.
    """

    run: Ints
    total: Ints
    lots: Ints
    ends: Ints
    fits: Ints
    group: Ints
    together: Ints
    steps: Ints
    strides: Ints
    pinned: Ints
    last_of: Ints
    offsets: Ints

    @property
    def sets(self) -> int:
        return int(np.prod(self.together + 1, dtype=np.float64))

    @property
    def cells(self) -> int:
        return int(self.offsets[-1, -2] + self.sets)


def kinds_of(inst: Instance) -> Kinds:
    """Sort the lots of an instance into kinds."""
    presses, runs, pinned = inst.restart_s.size, inst.run_tool.size, int(inst.pinned.sum())
    groups: dict[tuple[int, int, int], list[int]] = {}
    for j, (run, shots) in enumerate(zip(inst.lot_run.tolist(), inst.lot_shots.tolist(), strict=True)):
        groups.setdefault((run, shots, j if j < pinned else -1), []).append(j)
    run = np.array([key[0] for key in groups], dtype=np.int64)
    total = np.array([len(lots) for lots in groups.values()], dtype=np.int64)
    lots = [j for mine in groups.values() for j in mine]
    fits = np.ascontiguousarray(inst.fits[:, run], dtype=np.int64)
    kind_of = {j: c for c, mine in enumerate(groups.values()) for j in mine}
    heads = np.zeros((presses, 1 + int(inst.pinned.max(initial=0))), dtype=np.int64)
    first = 0
    for p, number in enumerate(inst.pinned.tolist()):
        heads[p, 0] = number
        for n in range(number):
            c = kind_of[first + n]
            heads[p, 1 + n] = c
            fits[np.arange(presses) != p, c] = 0
        first += number
    names = [(key[0], key[2]) for key in groups]
    group = np.array([sorted(set(names)).index(name) for name in names], dtype=np.int64)
    together = np.bincount(group, weights=total).astype(np.int64)
    steps = np.concatenate([[1], np.cumprod(together + 1)[:-1]]).astype(np.int64)
    last_of = np.full((presses, runs + 1), -1, dtype=np.int64)
    for p in range(presses):
        fitting = np.flatnonzero(inst.fits[p])
        last_of[p, fitting] = np.arange(fitting.size)
        last_of[p, runs] = fitting.size
    offsets = np.zeros((1 << presses, presses + 2), dtype=np.int64)
    begins = 0
    for shut in range(1 << presses):
        lasts = 1
        for p in range(presses):
            if not (shut >> p) & 1:
                offsets[shut, p] = lasts
                lasts *= int(last_of[p, runs]) + 1
        offsets[shut, presses:] = begins, lasts
        begins += lasts * int(np.prod(together + 1))
    return Kinds(
        run, total, np.array(lots, dtype=np.int64), np.cumsum(total), fits, group, together, steps,
        steps[group], heads, last_of, offsets,
    )  # fmt: skip


def kinds_if_few(inst: Instance) -> Kinds | None:
    """The kinds of a campaign of which all plans can be gone through at all, as the tables stay small; else None.

    None too where others work on a press, as what they break off a run is not in the tables; where parts are worked on
    between press and assembly; where wishes ask for orders of runs, which branches do not look at; where there are
    several carriers or waves; and where those who stay at presses may be too few for all of them at once, as branches
    do not let a press wait so that another has them first.
    """
    if inst.sharing or inst.sent_out or inst.finishing or inst.wishing or inst.leaving or inst.operators:
        return None
    lots = np.bincount(inst.lot_run, minlength=inst.run_tool.size)
    lasts = np.prod(inst.fits.sum(axis=1) + 2.0)
    if inst.run_tool.size > MOST_RUNS or inst.restart_s.size > MOST_PRESSES or np.prod(lots + 1.0) * lasts > MOST_CELLS:
        return None
    kinds = kinds_of(inst)
    return kinds if kinds.cells <= MOST_CELLS else None
