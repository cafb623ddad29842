"""Do P80 dates hold 80 % of the time? Random campaigns with truths from the distributions the promise was told.

    python -m benchmarks.promise_coverage [campaigns] [floors] [truths]

Twice. Where presses and benches work round the clock, a parcel may leave any day and what is not sure spreads over
weeks, the moment is practically continuous: there the plain share of truths at or before the P80 date must be 80 %. In
ordinary small workshops moments come in lumps (a bench that opens in the morning, a pick-up or two a week). Then no day
is exactly 80 % sure; the P80 date is the first day that is at least that, and holds more often, by what its lump goes
beyond. With lumps split that must be 80 % again (the randomised probability integral transform for discrete outcomes:
Czado, Gneiting, Held, Biometrics 65(4) 2009).
"""

import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from benchmarks.generator import small
from planner.campaign import Campaign
from planner.campaign.planning import POLICIES, Policy
from planner.campaign.uncertainty import FirstTrial, ThreePoint, ToolUncertainty, Uncertainty
from planner.promise.replications import simulate
from planner.promise.scenarios import draw
from planner.schedule.construct import first_plans
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import Ints, packed_instance
from planner.schedule.timing import timing_for

SHARE = 0.8
ALWAYS = {"mon-sun": "00:00-24:00"}
EVERY_DAY = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]


@dataclass(frozen=True)
class Coverage:
    """Shares of truths: at or before the P80 date, strictly before it, and with lumps split."""

    holds: float
    before: float
    split: float


def without_lumps(seed: int) -> Campaign:
    """A small campaign whose last parcel may be packed at any second, over some months."""
    campaign = small(seed)
    open_ = {"hours": ALWAYS, "on_dates": {}}
    ready = campaign.start + timedelta(days=3)
    days = ThreePoint(early=0, likely=15, late=70)
    unsure = Uncertainty(
        tools={
            name: ToolUncertainty(
                ready_days=days,
                first_trial=FirstTrial(success_chance=0.7),
                cycle_share=ThreePoint(early=0.9, likely=1, late=1.4),
                scrap_share=ThreePoint(early=0, likely=tool.scrap_share, late=tool.scrap_share + 0.1),
            )
            for name, tool in campaign.tools.items()
        },
        efficiency_share={name: ThreePoint(early=0.8, likely=1, late=1.05) for name in campaign.presses},
        piece_days=dict.fromkeys(campaign.pieces, ThreePoint(early=0, likely=5, late=50)),
    )
    return campaign.model_copy(
        update={
            "closed_days": [],
            "presses": {name: press.model_copy(update=open_) for name, press in campaign.presses.items()},
            "tools": {name: tool.model_copy(update={"ready": ready}) for name, tool in campaign.tools.items()},
            "assembly": campaign.assembly.model_copy(update=open_),
            "packing": campaign.packing.model_copy(update=open_),
            "pick_ups": campaign.pick_ups.model_copy(update={"days": EVERY_DAY, "parcels": 5000, "on_dates": {}}),
            "uncertainty": unsure,
        }
    )


def coverage(
    campaigns: int,
    floors: int,
    truths: int,
    campaign_of: Callable[[int], Campaign] = without_lumps,
    policy: Policy = "as planned",
) -> dict[str, Coverage]:
    """Of the moment the last parcel is packed, and of the day it leaves, over so many random campaigns. policy: by
    which the plan is followed, in what is told and in what comes true."""
    found: dict[str, list[tuple[float, float, float]]] = {"last parcel packed": [], "last dispatch": []}
    seed = 0
    while len(found["last dispatch"]) < campaigns:
        campaign = campaign_of(seed)
        inst, names = compile_campaign(campaign)
        plans = first_plans(inst, packed_instance(inst), timing_for(inst))
        seed += 1
        if not plans:
            continue
        # a seed of its own for each: tools of one name would share their luck over all campaigns
        simulated = simulate(inst, names, plans[0][1], draw(campaign, floors, 2 * seed), 1, policy)
        true = simulate(inst, names, plans[0][1], draw(campaign, truths, 2 * seed + 1), 1, policy)
        day_of = np.append(inst.pickup_day, np.iinfo(np.int64).max)  # -1: never
        found["last parcel packed"].append(_held(simulated.packed.max(axis=1), true.packed.max(axis=1)))
        found["last dispatch"].append(_held(day_of[simulated.pickup].max(axis=1), day_of[true.pickup].max(axis=1)))
    return {name: Coverage(*np.mean(shares, axis=0).tolist()) for name, shares in found.items()}


def _held(simulated: Ints, true: Ints) -> tuple[float, float, float]:
    said = np.sort(simulated)[int(np.ceil(SHARE * simulated.size)) - 1]
    before, lump = (simulated < said).mean(), (simulated == said).mean()
    split = (true < said).mean() + (true == said).mean() * (SHARE - before) / lump
    return float((true <= said).mean()), float((true < said).mean()), float(split)


def main() -> None:
    campaigns, floors, truths = (int(a) for a in [*sys.argv[1:], "300", "1000", "40"][:3])
    print(f"{campaigns} campaigns, {floors} simulated floors and {truths} truths each; P80:")
    for kind, campaign_of in (("round the clock, spread over weeks", without_lumps), ("ordinary hours", small)):
        for policy in POLICIES:
            print(f"{kind}, {policy}:")
            for name, share in coverage(campaigns, floors, truths, campaign_of, policy).items():
                print(
                    f"{name:>20}: holds {share.holds:.1%}, strictly earlier {share.before:.1%}, "
                    f"lumps split {share.split:.1%}"
                )


if __name__ == "__main__":
    main()
