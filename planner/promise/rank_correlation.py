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


def unit(ranked: Floats) -> Floats:
    """A series of ranks about its mean and of length 1, so that the product of two is their correlation; zeros where it
    does not vary."""
    about = ranked - ranked.mean()
    length = float(np.sqrt((about * about).sum()))
    return about / length if length > 0 else np.zeros(ranked.size)


def spearman(a: Floats, b: Floats) -> float:
    """Correlation of two series of ranks; 0 where one does not vary."""
    return float(unit(a) @ unit(b))
