"""Cautions about the inspection a plan asks for: samples nobody moulds, and lots that went wrong before."""

from collections import Counter
from collections.abc import Sequence

from planner.campaign import Campaign
from planner.cautions.texts import caution
from planner.plan.document import Caution
from planner.plan.sampling import RunInspection
from planner.quality.switching import standing

SWITCHING = "MIL-STD-105E 4.7, switching procedures (figures from memory)"


def unplanned(campaign: Campaign, inspections: Sequence[RunInspection]) -> list[Caution]:
    """A caution for each item of which inspection uses up more than is moulded for tests."""
    used: Counter[tuple[str, tuple[str, ...]]] = Counter()
    for found in inspections:
        used[found.part, tuple(found.colours)] += found.used_up
    return [
        caution(
            f"samples of {part}",
            f"Inspection uses up {number} of `{part}` in {' and '.join(colours)}; {campaign.parts[part].test_pieces} "
            f"are moulded for it. Raise `test_pieces` of the part to {number}, or parts will be short.",
            "this plan's inspections",
        )
        for (part, colours), number in sorted(used.items())
        if number > campaign.parts[part].test_pieces
    ]


def switched(campaign: Campaign) -> list[Caution]:
    """A caution for each part whose lots before call for tightened inspection, or for stopping it."""
    found = []
    for name, part in sorted(campaign.parts.items()):
        past = part.inspection.past_lots if part.inspection else []
        told = standing(verdict == "accepted" for verdict in past)
        if told.next != "normal":
            asks = "Inspection of `{}` is tightened: {}." if told.next == "tightened" else "`{}`: {}; then inspect on."
            found.append(caution(f"inspection of {name}", asks.format(name, told.why), SWITCHING))
    return found
