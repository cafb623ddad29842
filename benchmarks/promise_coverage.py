"""Do P80 dates hold 80 % of the time? Random campaigns with truths from the distributions the promise was told.

    python -m benchmarks.promise_coverage [campaigns] [floors] [truths]

Moments come in lumps (a bench that opens in the morning, a pick-up a week), so a quantile holds at least as often as
it says. Besides how often it holds, the calibration with lumps split is given (the randomised probability integral
transform for discrete outcomes: Czado, Gneiting, Held, Biometrics 65(4) 2009): that must be 80 %.
"""

import sys
from dataclasses import dataclass

import numpy as np

from benchmarks.generator import small
from planner.promise.floors import simulate
from planner.promise.luck import draw
from planner.schedule.compiled import compile_campaign
from planner.schedule.construct import first_plans
from planner.schedule.instance import Ints
from planner.schedule.tape import tape
from planner.schedule.timing import timing_for

SHARE = 0.8


@dataclass(frozen=True)
class Coverage:
    """Shares of truths: at or before the P80 date, strictly before it, and with lumps split."""

    holds: float
    before: float
    split: float


def coverage(campaigns: int, floors: int, truths: int) -> dict[str, Coverage]:
    """Of the moment the last parcel is packed, and of its pick-up, over so many random campaigns."""
    found: dict[str, list[tuple[float, float, float]]] = {"last parcel packed": [], "last dispatch": []}
    seed = 0
    while len(found["last dispatch"]) < campaigns:
        campaign = small(seed)
        inst, names = compile_campaign(campaign)
        plans = first_plans(inst, tape(inst), timing_for(inst))
        seed += 1
        if not plans:
            continue
        simulated = simulate(inst, names, plans[0][1], draw(campaign, floors, 1))
        true = simulate(inst, names, plans[0][1], draw(campaign, truths, 10_000 + seed))
        last = np.iinfo(np.int32).max
        pickups = [np.where(f.pickup < 0, last, f.pickup).max(axis=1) for f in (simulated, true)]
        found["last parcel packed"].append(_held(simulated.packed.max(axis=1), true.packed.max(axis=1)))
        found["last dispatch"].append(_held(pickups[0], pickups[1]))
    return {name: Coverage(*np.mean(shares, axis=0).tolist()) for name, shares in found.items()}


def _held(simulated: Ints, true: Ints) -> tuple[float, float, float]:
    said = np.sort(simulated)[int(np.ceil(SHARE * simulated.size)) - 1]
    before, lump = (simulated < said).mean(), (simulated == said).mean()
    split = (true < said).mean() + (true == said).mean() * (SHARE - before) / lump
    return float((true <= said).mean()), float((true < said).mean()), float(split)


def main() -> None:
    campaigns, floors, truths = (int(a) for a in [*sys.argv[1:], "300", "400", "40"][:3])
    print(f"{campaigns} campaigns, {floors} simulated floors and {truths} truths each; P80:")
    for name, share in coverage(campaigns, floors, truths).items():
        print(
            f"{name:>20}: holds {share.holds:.1%}, strictly earlier {share.before:.1%}, lumps split {share.split:.1%}"
        )


if __name__ == "__main__":
    main()
