"""A plan as the compiled part takes it: who runs where in what order, and which pack batch is served first."""

from typing import NamedTuple

from planner.schedule.instance import Ints
from planner.schedule.jit import inner


class Sequences(NamedTuple):
    """Changed in place. P presses, J lots, B pack batches."""

    seq: Ints  # (P, J) lots of each press in order
    length: Ints  # (P) of which so many count
    order: Ints  # (B) pack batches in the order in which they are served


@inner
def copy_press(to: Sequences, of: Sequences, p: int) -> None:
    """Press p's lots."""
    seq, length = of.seq, of.length[p]
    to.length[p] = length
    for n in range(length):
        to.seq[p, n] = seq[p, n]


@inner
def copy_presses(to: Sequences, of: Sequences) -> None:
    """The lots of all presses."""
    for p in range(of.length.size):
        copy_press(to, of, p)


@inner
def copy_order(to: Sequences, of: Sequences) -> None:
    """The order of service."""
    for n in range(of.order.size):
        to.order[n] = of.order[n]
