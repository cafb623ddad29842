"""One call from a campaign and its plan to the promise."""

from planner.campaign import Campaign
from planner.plan.document import RunPlan
from planner.plan.order_of_work import followed, order_of
from planner.promise.document import Policy, Promise
from planner.promise.figures import promise
from planner.promise.replications import simulate, threads_for
from planner.promise.scenarios import draw
from planner.schedule.encode import compile_campaign

FLOORS = 2000
MOST_FLOORS = 20_000


def make_promise(
    campaign: Campaign,
    plan: RunPlan,
    floors: int = FLOORS,
    seed: int = 1,
    confidence: float = 0.8,
    policy: Policy = "as planned",
    cores: int = 1,
) -> Promise:
    """Follow the plan on that many simulated floors. cores: threads to use at most; the answer does not depend on it.

    Variants simulated with the same seed and number of floors meet the same luck.
    """
    inst, names = compile_campaign(campaign)
    ours, solution = followed(inst, names, order_of(plan))
    luck = draw(campaign, floors, seed)
    done = simulate(ours, names, solution, luck, threads_for(cores, floors), policy == "first ready")
    return promise(ours, names, solution, luck, done, confidence, policy)
