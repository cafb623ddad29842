"""Sampling plans against MIL-STD-105E tables I, II-A and II-B, cell by cell.

The three CSV files beside this test hold the tables (the same scheme as ISO 2859-1), with arrows followed.
"""

import csv
from pathlib import Path

import pytest

from planner.quality.schemes import LEVELS, NoSuchPlan, code_letter, single_sample

HERE = Path(__file__).parent


def rows(name: str) -> list[dict[str, str]]:
    with open(HERE / name, newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def test_every_code_letter_of_table_1() -> None:
    """Each row at its smallest and largest lot, each level."""
    table = rows("code_letters_105E.csv")
    assert len(table) == 15
    for row in table:
        ends = [int(row["lot_min"])]
        ends.append(10_000_000 if row["lot_max"] == "inf" else int(row["lot_max"]))
        for lot in ends:
            assert [code_letter(lot, level) for level in LEVELS] == [row[level] for level in LEVELS], lot


@pytest.mark.parametrize("severity", ["normal", "tightened"])
def test_every_cell_of_table_2(severity: str) -> None:
    """All 256 cells of II-A and of II-B: letter used, n, Ac, Re; the cell that leaves the table refuses."""
    table = rows(f"single_{severity}_105E.csv")
    assert len(table) == 256
    for row in table:
        letter, aql = row["code_letter"], float(row["AQL_percent"])
        if row["printed_cell"] == "down" and row["plan_letter_used"] == "see standard":
            with pytest.raises(NoSuchPlan, match="no plan"):
                single_sample(letter, aql, severity)  # type: ignore[arg-type]
            continue
        plan = single_sample(letter, aql, severity)  # type: ignore[arg-type]
        expected = (row["plan_letter_used"], *(int(row[key]) for key in ("plan_n", "Ac", "Re")))
        assert (plan.letter, plan.n, plan.accept, plan.reject) == expected, (letter, aql)


def test_letter_j_aql_1() -> None:
    """MIL-STD-105E table II-A: letter J, AQL 1.0 is 80 pieces, accept on 2, reject on 3."""
    plan = single_sample("J", 1.0)
    assert (plan.n, plan.accept, plan.reject) == (80, 2, 3)


def test_refusals_name_the_remedy() -> None:
    """A wrong level, AQL, letter or lot is refused with the choices there are."""
    with pytest.raises(NoSuchPlan, match="S1, S2"):
        code_letter(500, "IV")
    with pytest.raises(NoSuchPlan, match="use 1 or another"):
        single_sample("J", 1.1)
    with pytest.raises(NoSuchPlan, match="without I and O"):
        single_sample("I", 1.0)
    with pytest.raises(NoSuchPlan, match="inspect every piece"):
        code_letter(1)
