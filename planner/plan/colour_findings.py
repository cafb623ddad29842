"""What is to be looked at in the colours before the run, as plans and answers tell it."""

from planner.plan.document import ColourFinding
from planner.purge.findings import PlacedFinding


def colour_finding(placed: PlacedFinding) -> ColourFinding:
    return ColourFinding(
        kind=placed.finding.kind,
        tool=placed.tool,
        press=placed.press,
        barrel=placed.barrel,
        concerns=list(placed.finding.concerns),
        message=placed.finding.message,
        remedy=placed.finding.remedy,
    )
