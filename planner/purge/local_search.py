"""Local search over orders of colours when there are too many for an exact order.

Moves: a short stretch put elsewhere (Or), a stretch reversed with its whole asymmetric cost; the best move
is taken until none helps, then two neighbouring stretches are swapped at random and it starts again.

References
----------
Or, doctoral thesis, Northwestern University, 1976; Martin, Otto, Felten, Complex Systems 5, 1991 (kicks).
"""

from collections.abc import Sequence

import numpy as np

from planner.purge.difference import Array

LONGEST_MOVED = 4
NEAREST_STARTS = 8
KICKS_PER_COLOUR = 6
MOST_WORK = 1_500_000
"""Kicks times the square of the colours: beyond some sixty colours fewer kicks keep the time bounded."""
_SMALL = 1e-9


def searched_order(costs: Array, first: Array, starts: Sequence[Sequence[int]], seed: int) -> list[int]:
    """Return a good order of n colours, never worse than any of `starts`.

    costs: (n, n); first: (n,), cost to begin with each colour. Same seed, same order.
    """
    n = len(first)
    # Node n is the barrel as it stands. Going back to it costs nothing, so an order is a closed walk.
    closed = np.zeros((n + 1, n + 1))
    closed[:n, :n], closed[n, :n] = costs, first
    begins = np.argsort(first, kind="stable")[:NEAREST_STARTS]
    walks = [_walk(s, n) for s in starts] + [_walk(_nearest(costs, int(b)), n) for b in begins]
    best = min((_improved(closed, walk) for walk in walks), key=lambda walk: _length(closed, walk))
    length = _length(closed, best)
    rng = np.random.default_rng(seed)
    for _ in range(min(KICKS_PER_COLOUR * n, MOST_WORK // n**2)):
        walk = _improved(closed, _kicked(best, rng))
        if (new := _length(closed, walk)) < length - _SMALL:
            best, length = walk, new
    return [int(colour) for colour in best[1:-1]]


def _walk(sequence: Sequence[int], home: int) -> np.ndarray:
    return np.array([home, *sequence, home])


def _length(closed: Array, walk: np.ndarray) -> float:
    return float(closed[walk[:-1], walk[1:]].sum())


def _nearest(costs: Array, begin: int) -> list[int]:
    sequence, left = [begin], set(range(len(costs))) - {begin}
    while left:
        sequence.append(min(left, key=lambda j: (costs[sequence[-1], j], j)))
        left.remove(sequence[-1])
    return sequence


def _kicked(walk: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Swap two neighbouring stretches: no single move below can undo that."""
    a, b, c = np.sort(rng.choice(np.arange(1, len(walk)), size=3, replace=False))
    return np.concatenate([walk[:a], walk[b:c], walk[a:b], walk[c:]])


def _improved(closed: Array, walk: np.ndarray) -> np.ndarray:
    while True:
        moves = [_best_move(closed, walk, length) for length in range(1, LONGEST_MOVED + 1)]
        moves.append(_best_reversal(closed, walk))
        gain, changed = max(moves, key=lambda move: move[0])
        if gain <= _SMALL:
            return walk
        walk = changed


def _best_move(closed: Array, walk: np.ndarray, length: int) -> tuple[float, np.ndarray]:
    """Best place for a stretch of `length` colours; the gain is what the walk gets shorter."""
    last_begin = len(walk) - 1 - length
    if last_begin < 1:
        return 0.0, walk
    begin = np.arange(1, last_begin + 1)
    head, tail = walk[begin], walk[begin + length - 1]
    before, after = walk[begin - 1], walk[begin + length]
    taken = closed[before, head] + closed[tail, after] - closed[before, after]
    left, right = walk[:-1], walk[1:]
    added = closed[left[None, :], head[:, None]] + closed[tail[:, None], right[None, :]]
    gain = taken[:, None] - added + closed[left, right][None, :]
    gap = np.arange(len(walk) - 1)
    touches = (gap[None, :] >= begin[:, None] - 1) & (gap[None, :] < begin[:, None] + length)
    gain[touches] = -np.inf
    at, to = np.unravel_index(int(gain.argmax()), gain.shape)
    first = int(begin[at])
    stretch = walk[first : first + length]
    if to < first:
        parts = [walk[: to + 1], stretch, walk[to + 1 : first], walk[first + length :]]
    else:
        parts = [walk[:first], walk[first + length : to + 1], stretch, walk[to + 1 :]]
    return float(gain[at, to]), np.concatenate(parts)


def _best_reversal(closed: Array, walk: np.ndarray) -> tuple[float, np.ndarray]:
    """Best stretch to turn round, its inner steps counted in the new direction."""
    along = np.concatenate([[0.0], np.cumsum(closed[walk[:-1], walk[1:]])])
    back = np.concatenate([[0.0], np.cumsum(closed[walk[1:], walk[:-1]])])
    inner = np.arange(1, len(walk) - 1)
    i, j = inner[:, None], inner[None, :]
    old = along[j + 1] - along[i - 1]
    new = closed[walk[i - 1], walk[j]] + closed[walk[i], walk[j + 1]] + back[j] - back[i]
    gain = np.where(i < j, old - new, -np.inf)
    at, to = np.unravel_index(int(gain.argmax()), gain.shape)
    first, last = int(inner[at]), int(inner[to])
    turned = walk.copy()
    turned[first : last + 1] = walk[first : last + 1][::-1]
    return float(gain[at, to]), turned
