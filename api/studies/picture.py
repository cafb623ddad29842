"""A slip table as far as it is worked out, for its picture."""

from typing import Any

from planner.slips.document import Cell, SlipRow, SlipTable
from planner.slips.study import in_order


def slips_so_far(so_far: list[dict[str, Any]], slips: list[int]) -> SlipTable:
    """The rows that are whole, worst first. so_far: what the study has said; slips: the days it was asked about."""
    cells = [Cell.model_validate(said["cell"]) for said in so_far if "cell" in said]
    rows = [
        SlipRow.model_validate(
            said["row"]
            | {"cells": [c for c in cells if (c.kind, c.name) == (said["row"]["kind"], said["row"]["name"])]}
        )
        for said in so_far
        if "row" in said
    ]
    return SlipTable(slips=slips, rows=in_order(rows))
