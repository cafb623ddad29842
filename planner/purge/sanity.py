"""Findings about a set of colours before the first shot, each with a remedy.

What counts as near, as a clash and as a hard change are thresholds of common practice without a source.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from planner.campaign.purging import COMPOUND_HOLDUPS, COMPOUND_RINSE_HOLDUPS, Compound
from planner.purge.colour import Appearance
from planner.purge.difference import ciede2000
from planner.purge.finish import COMMON_PRACTICE
from planner.purge.matrix import PurgeFigures
from planner.purge.order import best_order, light_to_dark

NEAR_TOLERANCES = 2.0
"""Two colours are near when contamination within tolerance on both sides can close the gap."""

CLASH_SHARE = 0.25
"""A joint order is a clash when it purges this share more than each barrel's own best order."""

HARD_HOLD_UPS = 5.0
"""A change that takes this many hold-ups on a hot runner is worth a remedy."""

Kind = Literal[
    "colours too near", "finishes side by side", "cleaning orders clash", "hard change on the only hot-runner tool"
]


@dataclass(frozen=True)
class Finding:
    """One thing to look at: what it is, the colours or melts it concerns, why, and what to do."""

    kind: Kind
    concerns: tuple[str, ...]
    message: str
    remedy: str


def near_colours(
    colours: Sequence[tuple[str, Appearance]], tolerance: float, near: float = NEAR_TOLERANCES
) -> list[Finding]:
    """Find colours (id, appearance) that a part at the edge of `tolerance` (CIEDE2000) could be either of."""
    if len(colours) < 2:
        return []
    lab = np.array([appearance.lab for _, appearance in colours])
    apart = ciede2000(lab[:, None, :], lab[None, :, :])
    findings = []
    for i, j in zip(*np.nonzero(np.triu(apart <= near * tolerance, k=1)), strict=True):
        one, other = colours[i], colours[j]
        if one[1].finish != other[1].finish:
            findings.append(_finishes(one, other, float(apart[i, j])))
            continue
        findings.append(
            Finding(
                "colours too near",
                (one[0], other[0]),
                f"{one[0]} and {other[0]} differ by {apart[i, j]:.1f} CIEDE2000; with a tolerance of "
                f"{tolerance:g} each, a contaminated part cannot be told from the other colour "
                f"({COMMON_PRACTICE})",
                "move one of the colours, mark the parts, or run them apart with the bins labelled",
            )
        )
    return findings


def _finishes(one: tuple[str, Appearance], other: tuple[str, Appearance], apart: float) -> Finding:
    """Two colours alike but for their finish: no colour difference shows what is left of the one in the other."""
    return Finding(
        "finishes side by side",
        (one[0], other[0]),
        f"{one[0]} ({one[1].finish}) and {other[0]} ({other[1].finish}) differ by {apart:.1f} CIEDE2000 and in their "
        f"finish: what is left of the one in the other shows as specks, clouds or a sheen, not as another colour; the "
        f"purge between them is the least that is usual ({COMMON_PRACTICE})",
        "purge until a part held against the light is clean, and label bins and masterbatch: by colour alone they "
        "are taken for each other",
    )


def clashing_orders(
    colourways: Sequence[str],
    barrels: Sequence[tuple[PurgeFigures, Sequence[int]]],
    share: float = CLASH_SHARE,
) -> list[Finding]:
    """Find out whether the barrels of one tool want their colours in different orders.

    colourways: names of the n colourways the tool runs.
    barrels: for each barrel its figures and, for each colourway, the index of its melt in them.
    """
    if len(colourways) < 2 or len(barrels) < 2:
        return []
    costs = [figures.kg[np.ix_(melts, melts)] for figures, melts in barrels]
    joint = best_order(np.sum(costs, axis=0))
    alone = [best_order(cost) for cost in costs]
    ideal = sum(order.total for order in alone)
    if joint.total <= ideal * (1 + share) or joint.total - ideal < 0.001:
        return []
    wishes = "; ".join(
        f"{figures.barrel.id} wants {_listed(colourways, order.sequence)}"
        for (figures, _), order in zip(barrels, alone, strict=True)
    )
    return [
        Finding(
            "cleaning orders clash",
            tuple(colourways),
            f"{wishes}; together they purge {joint.total:.2f} kg at best against {ideal:.2f} kg apart",
            f"run {_listed(colourways, joint.sequence)}, or swap which part is light in one colourway, "
            "or mould the parts on separate tools",
        )
    ]


def hard_changes(
    figures: PurgeFigures,
    wanted: Sequence[int],
    compound: Compound | None = None,
    hold_ups: float = HARD_HOLD_UPS,
    holds: int | None = None,
) -> list[Finding]:
    """Find light colours after strong dark ones in the order `wanted` on a barrel with a hot runner.

    figures, wanted: the only hot-runner tool's barrel, and the indices of its melts in the order planned.
    holds: index of what barrel and hot runner hold before the first of them, None for clean.
    """
    barrel = figures.barrel
    steps = list(pairwise(wanted if holds is None else [holds, *wanted]))
    if barrel.hot_runner_kg <= 0 or not steps:
        return []
    order = list(dict.fromkeys(wanted))  # a melt that comes back needs no second run in a better order
    start = np.zeros(len(order)) if holds is None else figures.kg[holds, order]
    best = best_order(figures.kg[np.ix_(order, order)], start, [range(len(order))])
    planned = float(sum(figures.kg[old, new] for old, new in steps))
    findings = []
    for old, new in steps:
        kg = float(figures.kg[old, new])
        if kg < hold_ups * barrel.melt_kg or not _lighter(figures, old, new):
            continue
        remedies = [f"give {figures.melts[new].key} a barrel and tool of its own"]
        if best.total < planned - 0.001:
            names = [str(figures.melts[order[k]].key) for k in best.sequence]
            remedies.insert(0, f"run {_listed(names, range(len(names)))}: {best.total:.2f} kg for {planned:.2f} kg")
        remedies += _with_compound(compound, barrel.melt_kg, kg)
        findings.append(
            Finding(
                "hard change on the only hot-runner tool",
                (str(figures.melts[old].key), str(figures.melts[new].key)),
                f"{figures.melts[new].key} after {figures.melts[old].key} takes {kg:.2f} kg "
                f"({figures.low[old, new]:.2f} to {figures.high[old, new]:.2f}) on the only hot runner",
                "; or ".join(remedies),
            )
        )
    return findings


def _with_compound(compound: Compound | None, melt_kg: float, kg: float) -> list[str]:
    """What a purging compound would take where that is less; not every compound may go through a hot runner."""
    if compound is None:
        total = (COMPOUND_HOLDUPS + COMPOUND_RINSE_HOLDUPS) * melt_kg
        return [f"purging compound for hot runners: about {total:.2f} kg ({COMMON_PRACTICE})"] if total < kg else []
    if not compound.hot_runners:
        return [f"purging compound for hot runners (`{compound.name}` is not said to be one)"]
    total = (compound.holdups + compound.rinse_holdups) * melt_kg
    return [f"purging compound `{compound.name}`: about {total:.2f} kg"] if total < kg else []


def _lighter(figures: PurgeFigures, old: int, new: int) -> bool:
    before, after = figures.melts[old].appearance, figures.melts[new].appearance
    return before is not None and after is not None and light_to_dark([before, after])[0] == 1


def _listed(names: Sequence[str], sequence: Sequence[int]) -> str:
    return ", ".join(names[k] for k in sequence)
