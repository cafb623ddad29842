"""One call from a campaign and its plan to the promise."""

from collections.abc import Callable

from planner.campaign import Campaign
from planner.plan.document import RunPlan
from planner.plan.wishes import as_kept
from planner.promise.document import CONFIDENCE, Asked, Promise
from planner.promise.figures import promise
from planner.promise.replications import groups_of, joined, threads_for, written
from planner.promise.scenarios import draw
from planner.schedule.encode import compile_campaign
from planner.schedule.expected.replicate import Replications, replicated
from planner.settled.as_read import as_read
from planner.settled.branches import through_branches

REPLICATIONS = 2000
MOST_REPLICATIONS = 20_000
FIRST_LOOK = 300
"""Replications after which whoever waits is told what they say: a share of them is known within 0.06 (two standard
errors at one half), what all say within 0.02."""
LONG = 500_000
"""Pack batches times replications from which following a plan takes so long that somebody would wait: a second or
more."""


def make_promise(
    campaign: Campaign,
    plan: RunPlan,
    replications: int = REPLICATIONS,
    seed: int = 1,
    confidence: float = CONFIDENCE,
    policy: Asked = "of the plan",
    cores: int = 1,
    tell: Callable[[Promise], None] | None = None,
) -> Promise:
    """Follow the plan in that many replications. cores: threads to use at most; the answer does not depend on it.

    tell: given what the first replications say, where all of them take their time; they are among those of the answer.

    policy: what the workshop does when a tool is late; of the plan: what the plan counts on, where it says so, with its
    branches where it has any, else its order is kept.

    Variants simulated with the same seed and number of replications meet the same draws.
    """
    either_way = policy == "of the plan"
    if policy == "of the plan":
        mean = plan.outcome.expected
        policy = "as planned" if mean is None else mean.policy
    inst, names = compile_campaign(as_kept(campaign, plan))
    ours, solution, branched = as_read(inst, names, plan)
    drawn = draw(campaign, replications, seed)
    told, groups = written(ours, names, drawn), groups_of(names)

    def follow(first: int, last: int) -> Replications:
        threads, some = threads_for(cores, last - first), told.some(first, last)
        if either_way and branched is not None and not branched.same:
            turned = drawn.turned[branched.thing.id][first:last]
            return through_branches(branched, turned, some, policy, groups, threads)
        return replicated(ours, solution, some, policy, groups, threads)

    if tell is None or replications < 2 * FIRST_LOOK or groups.size * replications < LONG:
        return promise(ours, names, solution, drawn, follow(0, replications), confidence, policy)
    begun = follow(0, FIRST_LOOK)
    # Each replication draws the same however many there are.
    tell(promise(ours, names, solution, draw(campaign, FIRST_LOOK, seed), begun, confidence, policy))
    done = joined(begun, follow(FIRST_LOOK, replications))
    return promise(ours, names, solution, drawn, done, confidence, policy)
