"""Regrind: ground runners and sprues fed back, same resin and colour only, up to a limit (RULES.md, R16)."""

from collections.abc import Iterable, Mapping

from planner.material.terms import MeltUse


def regrind(melts: Iterable[MeltUse], limits: Mapping[str, float]) -> dict[str, float]:
    """Regrind fed back, kg by resin (resins without any are left out).

    Per melt: min(limit x moulded melt, runners of the same resin and colour). Masterbatch is still dosed in full,
    so all of it comes off the resin.
    limits: resin -> most regrind in the melt, as a share of its mass.
    """
    moulded: dict[tuple[str, str], float] = {}
    runners: dict[tuple[str, str], float] = {}
    for melt in melts:
        key = (melt.resin, melt.colour)
        moulded[key] = moulded.get(key, 0.0) + melt.moulded_kg
        runners[key] = runners.get(key, 0.0) + melt.runner_kg
    fed: dict[str, float] = {}
    for (resin, colour), kg in sorted(moulded.items()):
        back = min(limits.get(resin, 0.0) * kg, runners[resin, colour])
        if back > 0:
            fed[resin] = fed.get(resin, 0.0) + back
    return fed


def generations(share: float, count: int) -> tuple[float, ...]:
    """Shares of the steady-state melt that were ground 0, 1, ... count - 1 times, when `share` of each melt is regrind.

    Each melt takes `share` of the one before, so generation k holds (1 - share) x share^k.
    """
    return tuple((1 - share) * share**k for k in range(count))
