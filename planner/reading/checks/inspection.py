"""Inspection: limits that the sampling tables know."""

from planner.campaign.document import Campaign
from planner.campaign.pointers import pointer
from planner.errors import Problem
from planner.quality.schemes import AQLS


def check(campaign: Campaign) -> list[Problem]:
    """AQLs between two columns of the table."""
    problems = []
    for part, made in campaign.parts.items():
        for defect, limit in made.inspection.defects.items() if made.inspection else ():
            if not any(abs(limit.aql - known) < 1e-9 for known in AQLS):
                lower = max((known for known in AQLS if known < limit.aql), default=AQLS[0])
                problems.append(
                    Problem(
                        pointer("parts", part, "inspection", "defects", defect, "aql"),
                        f"AQL {limit.aql:g} for `{defect}` of part `{part}` is not one of the sampling table's",
                        f"use {lower:g}, or another of {', '.join(f'{known:g}' for known in AQLS)}",
                    )
                )
    return problems
