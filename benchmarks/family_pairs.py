"""Every ordered pair of resin families in one barrel: planned, bridged or refused, as its temperatures say?

    python -m benchmarks.family_pairs [families]

A press whose barrel holds the first, a tool that moulds the second, undyed PE to go between and to clear. What comes of
each pair (made into a plan and audited) is held against `family_heat.csv`, a table of published figures written down
here and not taken from the planner's own: its sources stand in it, and figures from memory say so. Prints how many were
planned directly, bridged and refused, how many of each by figures from memory, and every disagreement (none).
"""

import csv
import sys
from collections import Counter
from itertools import permutations
from pathlib import Path
from typing import Any, NamedTuple

from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.planning.make import make_plan
from planner.reading import read

Json = dict[str, Any]
TABLE = Path(__file__).with_name("family_heat.csv")
BETWEEN = "PE"


class Row(NamedTuple):
    """low, stands: degrees C, 0 where nobody knows where it flows. danger: acetal, halogen, unsure or nothing.

    surely: where it flows whatever its word may mean. breaks_down: known or feared to, hotter than it stands.
    """

    low: float
    stands: float
    danger: str
    surely: float
    breaks_down: bool
    from_memory: bool


def table() -> dict[str, Row]:
    """The published figures by family."""
    with TABLE.open(newline="") as lines:
        return {
            line["family"]: Row(
                float(line["low_c"] or 0),
                float(line["stands_c"]),
                line["danger"],
                float(line["surely_c"] or line["low_c"] or 0),
                line["breaks_down"] != "no",
                "from memory" in line["source"],
            )
            for line in csv.DictReader(lines)
        }


def expected(rows: dict[str, Row], first: str, second: str) -> str:
    """What the table says of a pair in one barrel."""
    dangers = {rows[first].danger, rows[second].danger}
    if "acetal" in dangers and dangers & {"halogen", "unsure"}:
        return "refused"
    if _meet(rows[first], rows[second]):
        return "planned"
    return "bridged" if all(_meet(rows[BETWEEN], rows[one]) for one in (first, second)) else "refused"


def _meet(one: Row, other: Row) -> bool:
    """Whether at some heat both flow and neither breaks down."""
    least = max(one.surely if other.breaks_down else one.low, other.surely if one.breaks_down else other.low)
    return least <= min(one.stands, other.stands)


def campaign(first: str, second: str) -> Json:
    """A barrel that holds the first and is to mould the second."""
    resin = {"stock_kg": 90, "natural_colour": "clear"}
    return {
        "name": "pair", "start": "2027-01-11T06:00",
        "presses": {"p": {"barrels": [{"holdup_kg": 0.2, "shot_max_g": 200, "holds": "old/clear"}], "clamp_kn": 500}},
        "tools": {"t": {"cavities": {"cup": 1}, "cycle_s": 30, "clamp_kn": 200, "presses": ["p"]}},
        "resins": {"old": resin | {"family": first}, "new": resin | {"family": second},
                   "zz": resin | {"family": BETWEEN}},
        "colours": {"clear": {"let_down_percent": 0}},
        "parts": {"cup": {"barrels": [{"resin": "new", "mass_g": 20}]}},
        "products": {"q": {"parts": {"cup": 1}, "colourways": {"w": {"cup": ["clear"]}}}},
        "tiers": {"one": {"units": {"q": 1}}},
        "orders": [{"tier": "one", "units": {"q": ["w"]}, "count": 20}],
        "planning": {"rounds": 1},
    }  # fmt: skip


def came(first: str, second: str) -> str:
    """What comes of a pair; a refusal must name a field and a remedy, a plan must hold before the auditor."""
    try:
        made = read(campaign(first, second))
    except CampaignProblems as refused:
        return "refused" if all(one.pointer and one.remedy for one in refused.problems) else "refused without a remedy"
    plan = make_plan(made, Unhurried())
    if plan.audit is None or not plan.audit.holds:
        return "a plan that does not hold"
    purges = [purge for run in plan.runs if run.changeover for purge in run.changeover.purges]
    if [purge.from_.split("/")[0] for purge in purges] != ["old"]:
        return "a plan that does not purge it"
    return "bridged" if purges[0].bridge else "planned"


def compared(families: list[str]) -> tuple[Counter[str], Counter[str], list[str]]:
    """What came of every ordered pair of them; the same where a figure is from memory; lines of disagreements."""
    rows = table()
    found: Counter[str] = Counter()
    memory: Counter[str] = Counter()
    disagree = []
    for first, second in permutations(families, 2):
        what, by_table = came(first, second), expected(rows, first, second)
        found[what] += 1
        if rows[first].from_memory or rows[second].from_memory:
            memory[what] += 1
        if what != by_table:
            disagree.append(f"{first} then {second}: {what}, by the table {by_table}")
    return found, memory, disagree


def main(number: int | None) -> None:
    """Print the counts."""
    families = list(table())[:number]
    found, memory, disagree = compared(families)
    print(f"{found.total()} ordered pairs of {len(families)} families: {dict(found)}")
    print(f"of these with a figure from memory: {dict(memory)}")
    print("\n".join([*disagree, f"{len(disagree)} disagreements with the table"]))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else None)
