"""One call from a campaign and its plan to the promise."""

from planner.campaign import Campaign
from planner.plan.document import RunPlan
from planner.plan.wishes import as_kept
from planner.promise.document import CONFIDENCE, Asked, Promise
from planner.promise.figures import promise
from planner.promise.replications import groups_of, simulate, threads_for, written
from planner.promise.scenarios import draw
from planner.schedule.encode import compile_campaign
from planner.settled.as_read import as_read
from planner.settled.branches import through_branches

REPLICATIONS = 2000
MOST_REPLICATIONS = 20_000


def make_promise(
    campaign: Campaign,
    plan: RunPlan,
    replications: int = REPLICATIONS,
    seed: int = 1,
    confidence: float = CONFIDENCE,
    policy: Asked = "of the plan",
    cores: int = 1,
) -> Promise:
    """Follow the plan in that many replications. cores: threads to use at most; the answer does not depend on it.

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
    threads = threads_for(cores, replications)
    if either_way and branched is not None and not branched.same:
        told = written(ours, names, drawn)
        turned = drawn.turned[branched.thing.id]
        done = through_branches(branched, turned, told, policy, groups_of(names), threads)
    else:
        done = simulate(ours, names, solution, drawn, threads, policy)
    return promise(ours, names, solution, drawn, done, confidence, policy)
