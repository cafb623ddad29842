"""How sharp each sampling plan is, worked out anew: the binomial summed exactly (MIL-STD-105E 4.11, type B)."""

from collections.abc import Iterator
from fractions import Fraction
from math import comb

from planner.audit.case import Case
from planner.audit.findings import Findings
from planner.plan.document import SamplingCurve

CHANCE = 1e-6
"""How far a chance may be off."""
GRAIN = 10**12
"""Shares are taken to so many parts, so that the sum is one of whole numbers."""


def curves(case: Case, notes: Findings) -> None:
    """One curve for each sampling plan in use, each point where the binomial has it."""
    due = sorted({(s.n, s.accept) for found in case.plan.inspections for s in found.samples if not s.every_piece})
    told = sorted((curve.n, curve.accept) for curve in case.plan.curves)
    if told != due:
        notes.fault(f"curves are drawn of plans {told}, in use are {due}")
        return
    for curve in case.plan.curves:
        for trouble in _wrong(curve):
            notes.fault(f"curve of n {curve.n}, Ac {curve.accept}: {trouble}")


def _wrong(curve: SamplingCurve) -> Iterator[str]:
    points = [(curve.producer, 0.95), (curve.indifferent, 0.5), (curve.consumer, 0.1), *curve.points]
    for share, chance in points:
        ours = _accepted(curve.n, curve.accept, share)
        if abs(ours - chance) > CHANCE:
            yield f"with {100 * share:.3f} % bad pieces a lot passes {ours:.6f} of the time, it says {chance:.6f}"
    shares = [share for share, _ in curve.points]
    if len(shares) < 2 or shares[0] != 0.0 or shares != sorted(set(shares)):
        yield "its points do not go from no bad pieces on"


def _accepted(n: int, accept: int, share: float) -> float:
    bad = round(share * GRAIN)
    ways = sum(comb(n, d) * bad**d * (GRAIN - bad) ** (n - d) for d in range(min(accept, n) + 1))
    return float(Fraction(ways, GRAIN**n))
