"""What runs would cost on another press: each is wished for in turn and planned, from the plan's order of work on."""

from planner.campaign import Campaign
from planner.campaign.fit import misfits
from planner.campaign.wishes import Wish, WishedRuns
from planner.control import Control
from planner.errors import PlannerError
from planner.plan.document import RunPlan
from planner.plan.order_of_work import order_of
from planner.plan.wishes import as_kept, named
from planner.planning.anew import ANEW_ROUNDS
from planner.schedule.encode import compile_campaign
from planner.slips.compare import tier_changes
from planner.slips.document import Elsewhere

NOT_FOUND = "no plan was found that has it there"
BESIDE = f"{NOT_FOUND} and keeps your other wishes"


def presses_for(campaign: Campaign, plan: RunPlan, runs: WishedRuns) -> tuple[list[str], dict[str, list[str]]]:
    """Presses that can take these runs and do not have them all now; and of each that cannot, why not."""
    reasons = {press: misfits(campaign, runs.tool, press) for press in campaign.presses}
    here = {run.press for run in named(plan.runs, runs)}
    can = [press for press, why in reasons.items() if not why and here != {press}]
    return can, {press: why for press, why in reasons.items() if why}


def on_press(
    campaign: Campaign, plan: RunPlan, runs: WishedRuns, press: str | None, control: Control, rounds: int = ANEW_ROUNDS
) -> Elsewhere:
    """The campaign planned with these runs on one press. press: None, looked at as long without such a wish."""
    known = as_kept(campaign, plan)
    wishes = [*known.wishes, *([] if press is None else [Wish(runs=runs, press=press)])]
    try:
        inst, names = compile_campaign(known.model_copy(update={"wishes": wishes}))
        from planner.planning.make import planned_anew  # here: who only asks does not search

        made = planned_anew(inst, names, order_of(plan), control, rounds, bound_effort=0)
    except PlannerError as none:
        return Elsewhere(press=press, kept=False, because=BESIDE if known.wishes else str(none), cost=None, tiers=[])
    kept = all(line.kept for line in made.wishes)
    return Elsewhere(
        press=press,
        kept=kept,
        because="" if kept else BESIDE if known.wishes else NOT_FOUND,
        cost=made.outcome.total if kept else None,
        audited=made.audit is not None and made.audit.holds,
        tiers=tier_changes(plan, made) if kept else [],
    )


def prices(plan: RunPlan, found: list[Elsewhere]) -> dict[str, float]:
    """What each press would cost more than the best plan known without it, money."""
    least = min([plan.outcome.total, *(one.cost for one in found if one.press is None and one.cost is not None)])
    return {one.press: max(0.0, one.cost - least) for one in found if one.press is not None and one.cost is not None}
