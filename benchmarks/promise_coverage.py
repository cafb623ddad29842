"""Do P80 dates hold 80 % of the time? Random campaigns with truths from the distributions the promise was told.

    python -m benchmarks.promise_coverage [campaigns] [replications] [truths] [only what is called so, e.g. branches]

Twice. Where presses and benches work round the clock, a parcel may leave any day and what is not sure spreads over
weeks, the moment is practically continuous: there the plain share of truths at or before the P80 date must be 80 %. In
ordinary small workshops moments come in lumps (a bench that opens in the morning, a pick-up or two a week). Then no day
is exactly 80 % sure; the P80 date is the first day that is at least that, and holds more often, by what its lump goes
beyond. With lumps split that must be 80 % again (the randomised probability integral transform for discrete outcomes:
Czado, Gneiting, Held, Biometrics 65(4) 2009).

Then the same of plans with branches: one tool is tried on a known day, and each truth goes on as the branch of its
outcome has it. Only plans whose branches differ are looked at.
"""

import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from benchmarks.generator import small
from planner.campaign import Campaign
from planner.campaign.common_case import common_case
from planner.campaign.planning import POLICIES, Policy
from planner.campaign.uncertainty import FirstTrial, ThreePoint, ToolUncertainty, Uncertainty
from planner.control import Unhurried
from planner.errors import PlannerError
from planner.planning.make import make_plan
from planner.promise.replications import written
from planner.promise.scenarios import FactorDraws, draw
from planner.schedule.construct import first_plans
from planner.schedule.encode import compile_campaign
from planner.schedule.expected.replicate import Replications
from planner.schedule.instance import Instance, Ints, packed_instance
from planner.schedule.timing import timing_for
from planner.settled.as_read import as_read
from planner.settled.branches import through_branches
from tests.planner.promise.followed import replications_of

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


def tried_on_a_day(campaign: Campaign) -> Campaign:
    """The campaign, whose first tool is tried on the second day: it works, or comes a week or ten days later, once."""
    name, day = min(campaign.tools), campaign.start.date() + timedelta(days=1)
    tools = campaign.tools | {name: campaign.tools[name].model_copy(update={"ready": day})}
    campaign = campaign.model_copy(update={"tools": tools})
    unsure = campaign.uncertainty or common_case(campaign)
    trial = FirstTrial(
        success_chance=0.6, rework_days=ThreePoint(early=7, likely=8, late=10), on=day, most_failures=1
    )  # fmt: skip
    own = unsure.tools.get(name, ToolUncertainty()).model_copy(update={"first_trial": trial, "ready_days": None})
    told = unsure.model_copy(update={"tools": unsure.tools | {name: own}})
    return campaign.model_copy(update={"uncertainty": told})


Followed = tuple[Campaign, Instance, Callable[[FactorDraws], Replications]]
"""A campaign, compiled, and what its plan comes to in scenarios."""


def kept(campaign: Campaign, policy: Policy) -> Followed | None:
    """A first plan; None where there is none."""
    inst, names = compile_campaign(campaign)
    plans = first_plans(inst, packed_instance(inst), timing_for(inst))
    return (campaign, inst, lambda drawn: replications_of(inst, names, plans[0][1], drawn, policy)) if plans else None


def either_way(campaign: Campaign, policy: Policy) -> Followed | None:
    """A plan with branches that differ; None where there is none."""
    told = {"when_late": policy, "rounds": 1, "aim": "cost"}
    campaign = tried_on_a_day(campaign)
    campaign = campaign.model_copy(update={"planning": campaign.planning.model_copy(update=told)})
    try:
        plan = make_plan(campaign, Unhurried())
    except PlannerError:
        return None
    inst, names = compile_campaign(campaign)
    ours, _, branched = as_read(inst, names, plan)
    if branched is None or branched.same:
        return None
    all_are_one = np.zeros(inst.batch_work.size, dtype=np.int64)

    def through(drawn: FactorDraws) -> Replications:
        turned = drawn.turned[branched.thing.id]
        return through_branches(branched, turned, written(ours, names, drawn), policy, all_are_one)

    return campaign, ours, through


def coverage(
    campaigns: int,
    replications: int,
    truths: int,
    campaign_of: Callable[[int], Campaign] = without_lumps,
    policy: Policy = "as planned",
    plan_of: Callable[[Campaign, Policy], Followed | None] = kept,
) -> dict[str, Coverage]:
    """Of the moment the last parcel is packed, and of the day it leaves, over so many random campaigns. policy: by
    which the plan is followed, in what is told and in what comes true."""
    found: dict[str, list[tuple[float, float, float]]] = {"last parcel packed": [], "last dispatch": []}
    seed = 0
    while len(found["last dispatch"]) < campaigns:
        followed = plan_of(campaign_of(seed), policy)
        seed += 1
        if followed is None:
            continue
        campaign, inst, through = followed
        # a seed of its own for each: tools of one name would share their draws over all campaigns
        simulated, true = (
            through(draw(campaign, number, 2 * seed + own)) for number, own in ((replications, 0), (truths, 1))
        )  # fmt: skip
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
    campaigns, replications, truths = (int(a) for a in [*sys.argv[1:], "300", "1000", "40"][:3])
    print(f"{campaigns} campaigns, {replications} replications and {truths} truths each; P80:")
    ways = (
        ("round the clock, spread over weeks", without_lumps, kept),
        ("ordinary hours", small, kept),
        ("round the clock, with branches", without_lumps, either_way),
        ("ordinary hours, with branches", small, either_way),
    )
    wanted = sys.argv[4] if len(sys.argv) > 4 else ""
    for kind, campaign_of, plan_of in ways:
        for policy in POLICIES if wanted in kind else ():
            print(f"{kind}, {policy}:", flush=True)
            for name, share in coverage(campaigns, replications, truths, campaign_of, policy, plan_of).items():
                print(
                    f"{name:>20}: holds {share.holds:.1%}, strictly earlier {share.before:.1%}, "
                    f"lumps split {share.split:.1%}"
                )


if __name__ == "__main__":
    main()
