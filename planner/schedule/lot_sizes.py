"""What lots a run demand may be cut into, besides those it is cut into now (RULES.md, D4).

Bounds hold over all of them: they ask here for the smallest lot and the most lots there may be.
"""

from collections.abc import Iterator
from itertools import product
from math import prod

import numpy as np

from planner.schedule.instance import Instance, Ints


def free_shots(inst: Instance) -> Ints:
    """(R) shots of lots that are not pinned."""
    pinned = int(inst.pinned.sum())
    return np.bincount(inst.lot_run[pinned:], weights=inst.lot_shots[pinned:], minlength=inst.run_tool.size).astype(
        np.int64
    )


def may_be_cut(inst: Instance) -> Ints:
    """Run demands of which a lot that is not pinned may be cut otherwise."""
    if not inst.run_smallest.size:
        return np.empty(0, dtype=np.int64)
    free = free_shots(inst)
    return np.flatnonzero((inst.run_smallest > 0) & (free >= 2 * inst.run_smallest))


def smallest_lots(inst: Instance) -> Ints:
    """(R) shots of the smallest lot that each demand may have; where others work on presses they may leave one shot."""
    if inst.sharing:
        return np.ones_like(inst.run_shots)
    smallest = inst.run_shots.astype(np.int64).copy()
    np.minimum.at(smallest, inst.lot_run, inst.lot_shots)
    divisible = may_be_cut(inst)
    if divisible.size:
        smallest[divisible] = np.minimum(smallest[divisible], inst.run_smallest[divisible])
    return smallest


def most_lots(inst: Instance) -> Ints:
    """(R) how many lots each demand may have at the most, with what others' work breaks off."""
    number = np.bincount(inst.lot_run, minlength=inst.run_tool.size).astype(np.int64)
    if inst.sharing:
        number += int((inst.since_others == np.arange(inst.since_others.size)).sum())
    divisible = may_be_cut(inst)
    if divisible.size:
        pinned = np.bincount(inst.lot_run[: int(inst.pinned.sum())], minlength=number.size)
        cut = pinned[divisible] + free_shots(inst)[divisible] // inst.run_smallest[divisible]
        number[divisible] = np.maximum(number[divisible], cut)
    return number


def ways_to_cut(inst: Instance, most: int) -> list[list[list[int]]] | None:
    """Of each demand that may be cut, every list of lot sizes it may be cut into, whole first; None where together they
    are more than `most` ways. Lots of one demand stand for each other, so sizes ascend."""
    free = free_shots(inst)
    ways: list[list[list[int]]] = []
    for run in may_be_cut(inst):
        mine: list[list[int]] = []
        for sizes in _cut(int(free[run]), int(inst.run_smallest[run])):
            mine.append(sizes)
            if len(mine) > most:
                return None
        ways.append(mine)
        if prod(map(len, ways)) > most:
            return None
    return ways


def cut_in_all_ways(inst: Instance, ways: list[list[list[int]]]) -> Iterator[Instance]:
    """The instance with its demands cut in every combination of these ways."""
    runs = may_be_cut(inst).tolist()
    for chosen in product(*ways):
        changed = inst
        for run, sizes in zip(runs, chosen, strict=True):
            changed = cut(changed, run, sizes)
        yield changed


def cut(inst: Instance, run: int, sizes: list[int]) -> Instance:
    """The instance with what is free of one demand cut into lots of these sizes."""
    pinned = int(inst.pinned.sum())
    kept = np.arange(inst.lot_run.size)
    kept = kept[(kept < pinned) | (inst.lot_run != run)]
    return inst._replace(
        lot_run=np.concatenate([inst.lot_run[kept], np.full(len(sizes), run, dtype=np.int64)]),
        lot_shots=np.concatenate([inst.lot_shots[kept], np.array(sizes, dtype=np.int64)]),
        lot_release=np.zeros(0, dtype=np.int64),
    )


def _cut(shots: int, smallest: int) -> Iterator[list[int]]:
    """Ascending sizes, each at least `smallest`, that add up to `shots`."""
    yield [shots]
    for first in range(smallest, shots // 2 + 1):
        for rest in _cut(shots - first, first):
            yield [first, *rest]
