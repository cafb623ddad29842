"""A13: what a plan is said to cost on average is what its own scenarios come to.

Mean and error are worked out anew from the cost in each scenario, chances are shares of so many scenarios, the bound
lies below the mean, and policies and promises are those the campaign asks for. Branches: see `a13_branches`; what turns
out in each scenario, and the least it can cost: see `a13_drawn`; scenarios timed anew: `a13_anew`.
"""

from math import fsum, sqrt

from planner.audit import a13_anew, a13_branches, a13_drawn
from planner.audit.carriers import hand_over_by
from planner.audit.case import Case
from planner.audit.figures import MONEY, same
from planner.audit.findings import Findings
from planner.campaign.uncertainty import Uncertainty
from planner.plan.document import Expected, RuleVerdict


def check(case: Case, sound: bool) -> RuleVerdict:
    """A13: the stated means are those of the stated scenarios. sound: the plan keeps all rules before this one."""
    notes = Findings("A13")
    said = case.plan.outcome.expected
    unsure = case.campaign.uncertainty not in (None, Uncertainty()) and case.campaign.planning.aim == "cost"
    asked = notes.expect(
        said is None or unsure, "an average is stated, though the campaign says nothing is unsure or asks for none"
    )
    if said is not None and asked:
        _means(said, notes)
        _bound(case, said, notes)
        _chances(case, said, notes)
        _policy(case, said, notes)
        found = len(notes.found)
        a13_branches.check(case, said, notes)
        sound = sound and len(notes.found) == found
        a13_drawn.check(case, said, notes)
        if sound:
            a13_anew.check(case, said, notes)
        else:
            notes.left_out("no scenario is timed anew: the plan breaks other rules")
    return notes.verdict(False, "an average")


def _means(said: Expected, notes: Findings) -> None:
    done = [cost for cost in said.costs if cost is not None]
    number = len(said.costs)
    notes.expect(number == said.replications, f"costs of {number} scenarios stand there, {said.replications} are said")
    missing = (number - len(done)) / number if number else 1.0
    notes.expect(
        same(said.not_done, missing, 1e-6),
        f"{missing:.2%} of the scenarios have no cost, {said.not_done:.2%} are said not to be carried out",
    )
    if not done:
        notes.fault("no scenario has a cost")
        return
    mean = fsum(done) / len(done)
    notes.expect(same(said.mean, mean, MONEY), f"the scenarios cost {mean:.2f} on average, said is {said.mean:.2f}")
    error = sqrt(fsum((cost - mean) ** 2 for cost in done) / (len(done) - 1) / len(done)) if len(done) > 1 else 0.0
    notes.expect(
        same(said.standard_error, error, MONEY),
        f"the standard error of their mean is {error:.2f}, said is {said.standard_error:.2f}",
    )
    if not missing:
        gain = said.certain_mean - said.mean
        notes.expect(same(said.saved, gain, MONEY), f"{gain:.2f} is saved on average, said is {said.saved:.2f}")


def _bound(case: Case, said: Expected, notes: Findings) -> None:
    bound, low = said.bound, said.bound_low
    if not notes.expect((bound is None) == (low is None), "of the bound on average and its lower end one is missing"):
        return
    if bound is not None and low is not None:
        notes.expect(bound <= said.mean + MONEY, f"the bound {bound:.2f} is above the mean {said.mean:.2f}")
        notes.expect(low <= bound + MONEY, f"the bound's lower end {low:.2f} is above the bound {bound:.2f}")
        notes.expect(said.bound_replications > 1, "a bound on average rests on fewer than two scenarios")
        notes.expect(bool(said.bound_basis), "the bound on average does not say what it rests on")
    lowest = case.plan.outcome.lower_bound
    notes.expect(
        said.certain_total >= lowest - MONEY,
        f"the likely world's plan costs {said.certain_total:.2f}, below what no plan can undercut, {lowest:.2f}",
    )


def _chances(case: Case, said: Expected, notes: Findings) -> None:
    promised = [batch for batch in case.plan.batches if hand_over_by(case, batch) is not None]
    notes.expect(
        (said.chance_all is None) == (not promised), "a chance to keep all promises stands where none is made, or none"
    )
    shares = [("all promises", said.chance_all), *((f"tier {p.tier}", p.chance) for p in said.promises)]
    for what, chance in shares:
        if chance is not None:
            times = chance * said.replications
            notes.expect(
                0 <= chance <= 1 and abs(times - round(times)) < 1e-3,
                f"the chance to keep {what}, {chance:.4f}, is no share of {said.replications} scenarios",
            )
    asked = {
        name: tier.keep_promise
        for name, tier in case.campaign.tiers.items()
        if tier.keep_promise is not None and any(t.tier == name for t in promised)
    }
    told = {one.tier: one for one in said.promises}
    notes.expect(set(told) == set(asked), f"chances are asked for {sorted(asked)}, told of {sorted(told)}")
    for name, chance in asked.items():
        if name in told:
            one = told[name]
            notes.expect(
                same(one.asked, chance, 1e-9), f"tier {name} asks for {chance:.0%}, the plan says {one.asked:.0%}"
            )
            notes.expect(
                bool(one.why) == (one.chance < chance), f"tier {name} is kept at {one.chance:.1%} of {chance:.0%}"
            )
            if said.chance_all is not None:
                notes.expect(
                    said.chance_all <= one.chance + 1e-9, f"all promises are kept more often than that of {name} alone"
                )


def _policy(case: Case, said: Expected, notes: Findings) -> None:
    asked = case.campaign.planning.when_late
    notes.expect(asked in (None, said.policy), f"the campaign goes on `{asked}`, the average is of `{said.policy}`")
    either_way = said.branches is not None
    own = [one for one in said.policies if (one.policy, one.branches) == (said.policy, either_way)]
    if notes.expect(len(own) == 1, f"the policy {said.policy} stands {len(own)} times among those compared"):
        notes.expect(
            same(own[0].mean, said.mean, MONEY) and same(own[0].standard_error, said.standard_error, MONEY),
            f"under {said.policy} the mean is {own[0].mean:.2f} in one place and {said.mean:.2f} in another",
        )
