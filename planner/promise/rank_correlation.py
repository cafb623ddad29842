"""Spearman's rank correlation (C. Spearman, American Journal of Psychology 15, 1904, from memory); tests: scipy's."""

import numpy as np

from planner.schedule.instance import Floats, Ints


def ranks(values: Floats | Ints) -> Floats:
    """Ranks from 0, ties at their mean rank."""
    order = np.argsort(values, kind="stable")
    ordered = values[order]
    first = np.flatnonzero(np.concatenate(([True], ordered[1:] != ordered[:-1])))
    last = np.concatenate((first[1:], [values.size]))
    mean = (first + last - 1) / 2
    found = np.empty(values.size)
    found[order] = np.repeat(mean, last - first)
    return found


def spearman(a: Floats, b: Floats) -> float:
    """Correlation of two series of ranks; 0 where one does not vary."""
    a, b = a - a.mean(), b - b.mean()
    size = float(np.sqrt((a * a).sum() * (b * b).sum()))
    return float((a * b).sum() / size) if size > 0 else 0.0
