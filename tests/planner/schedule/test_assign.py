"""One press for every run, no forbidden neighbours: the busiest press as idle as every assignment allows."""

from itertools import product
from types import SimpleNamespace

import numpy as np
import pytest

from planner.schedule.assign import one_press_each


def drawn(seed):
    """Up to three presses and five runs; about two thirds of them fit, and some pairs clash."""
    draw = np.random.default_rng(seed)
    presses, runs = int(draw.integers(1, 4)), int(draw.integers(1, 6))
    clash = np.triu(draw.random((runs, runs)) < 0.25, 1)
    fits = draw.random((presses, runs)) < 0.7
    first = draw.permutation(runs)[: int(draw.integers(0, 2))]
    pinned = np.zeros(presses, dtype=np.int64)
    pinned[0] = first.size
    return SimpleNamespace(
        fits=fits, clash=clash | clash.T, pinned=pinned, lot_run=np.concatenate([first, np.arange(runs)]),
        run_shots=draw.integers(1, 50, runs), shot_num=draw.integers(10, 90, fits.shape),
        shot_den=draw.integers(1, 3, fits.shape),
    )  # fmt: skip


def every_assignment(inst):
    """Seconds on the busiest press (each run's rounded up) -> of every assignment that is allowed."""
    presses, runs = inst.fits.shape
    work = np.ceil(inst.run_shots * inst.shot_num / inst.shot_den).astype(int)
    for on in product(range(presses), repeat=runs):
        together = [(a, b) for a in range(runs) for b in range(a) if on[a] == on[b] and inst.clash[a, b]]
        first = [on[inst.lot_run[n]] == 0 for n in range(inst.pinned[0])]
        if all(inst.fits[p, r] for r, p in enumerate(on)) and not together and all(first):
            yield max(sum(work[p, r] for r, p in enumerate(on) if p == press) for press in range(presses))


@pytest.mark.parametrize("seed", range(40))
def test_no_assignment_leaves_the_busiest_press_less_to_do(seed):
    """Held against all of them; none is found only where there is none."""
    inst = drawn(seed)
    known = sorted(every_assignment(inst))
    chosen = one_press_each(inst)
    if not known:
        assert chosen is None
        return
    assert chosen is not None
    assert (chosen.sum(axis=0) == 1).all()
    assert not (chosen & ~inst.fits).any()
    for press in range(inst.fits.shape[0]):
        own = np.flatnonzero(chosen[press])
        assert not inst.clash[np.ix_(own, own)].any()
    assert all(chosen[0, inst.lot_run[n]] for n in range(inst.pinned[0]))
    work = np.ceil(inst.run_shots * inst.shot_num / inst.shot_den).astype(int)
    assert (work * chosen).sum(axis=1).max() == known[0]


def test_there_are_workshops_of_both_kinds():
    """Otherwise the test above would hold nothing."""
    solvable = [bool(list(every_assignment(drawn(seed)))) for seed in range(40)]
    assert 5 <= sum(solvable) <= 35
