"""What the campaign does not say and the plan takes for granted: what barrels and hot runners hold, clamp force.

Where people could be hurt by it (acetal, PVC) the campaign is refused instead.
"""

from collections.abc import Iterator, Sequence

from planner.campaign import Campaign
from planner.cautions import texts
from planner.cautions.texts import caution
from planner.plan.document import Caution, Run


def not_said(campaign: Campaign, runs: Sequence[Run]) -> Iterator[Caution]:
    """One caution for each press and tool of the plan of which something is not said."""
    barrels: dict[str, int] = {}
    for run in runs:
        barrels[run.press] = max(barrels.get(run.press, 0), len(run.melts))
    holdups = campaign.purging.resin_change_holdups
    for press, used in sorted(barrels.items()):
        for k, barrel in enumerate(campaign.presses[press].barrels[:used], start=1):
            if barrel.unsaid:
                text = texts.UNSAID_BARREL.format(barrel=k, press=press, holdups=holdups, kg=holdups * barrel.holdup_kg)
                yield caution(f"unsaid {press}", text, texts.UNSAID_SOURCE)
    for name in sorted({run.tool for run in runs}):
        tool = campaign.tools[name]
        if tool.hot_runner_unsaid:
            text = texts.UNSAID_HOT_RUNNER.format(tool=name, holdups=holdups, kg=holdups * sum(tool.hot_runner_kg))
            yield caution(f"unsaid {name}", text, texts.UNSAID_SOURCE)
        if tool.clamp_kn == 0:
            yield caution(f"clamp {name}", texts.CLAMP.format(tool=name), texts.CLAMP_SOURCE)
