"""Sampling plans against MIL-STD-105E tables I, II-A and II-B, cell by cell.

The three CSV files beside this test hold the tables (the same scheme as ISO 2859-1), with arrows followed.
"""

import csv
from pathlib import Path

import pytest

from planner.audit import sampling as printed
from planner.campaign.inspection import DefectLimit
from planner.quality.inspection import DefectKind, check_for
from planner.quality.operating import chance_accepted
from planner.quality.schemes import LEVELS, NoSuchPlan, code_letter, single_sample

HERE = Path(__file__).parent

# The largest lot that asks for each letter, and the level at which it does (table I); the last two rows have no end.
LARGEST_LOT = {
    **dict(zip("ABCDEFGHJKLMNPQ", ((lot, "II") for lot in (8, 15, 25, 50, 90, 150, 280, 500, 1200, 3200, 10_000, 35_000,
           150_000, 500_000, 2_000_000)), strict=True)),
    "R": (2_000_000, "III"),
}  # fmt: skip


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
    """All 256 cells of II-A and of II-B: letter used, n, Ac, Re; the cell that leaves the table refuses.

    Three cells of II-B at its foot (letters Q and R at AQL 0.015 and 0.025) are from memory, as the file says.
    """
    table = rows(f"single_{severity}_105E.csv")
    assert len(table) == 256
    for row in table:
        letter, aql = row["code_letter"], float(row["AQL_percent"])
        if row["printed_cell"] == "down" and row["plan_letter_used"] == "see standard":
            with pytest.raises(NoSuchPlan, match="no plan"):
                single_sample(letter, aql, severity)  # type: ignore[arg-type]
            continue
        plan = single_sample(letter, aql, severity)  # type: ignore[arg-type]
        expected = (row["plan_letter_used"].split()[0], *(int(row[key]) for key in ("plan_n", "Ac", "Re")))
        assert (plan.letter, plan.n, plan.accept, plan.reject) == expected, (letter, aql)


@pytest.mark.parametrize("severity", ["normal", "tightened"])
def test_the_auditors_printed_table(severity: str) -> None:
    """The auditor's own table, cell by cell: what is printed in each, and where its arrow leads.

    The file knows neither the auditor's rows nor the planner's diagonals; sizes and numbers are both compared.
    """
    for row in rows(f"single_{severity}_105E.csv"):
        cell, column = row["printed_cell"], printed.AQLS.index(str(float(row["AQL_percent"])))
        there = printed.CELLS[severity][printed.LETTERS.index(row["code_letter"])][column]
        assert there == {"down": "v", "up": "^"}.get(cell.split()[0], cell.split("/")[0]), row
        if row["plan_letter_used"] != "see standard":
            lot, level = LARGEST_LOT[row["code_letter"]]
            limit = DefectLimit.model_validate({"aql": float(row["AQL_percent"]), "level": level})
            sample = printed.sample_of(lot, limit, severity)
            n, accept = int(row["plan_n"]), int(row["Ac"])
            whole = n >= lot or (severity == "tightened" and (row["code_letter"], row["AQL_percent"]) == ("R", "0.015"))
            assert sample == ((lot, 0) if whole else (n, accept)), row


@pytest.mark.parametrize(
    ("letter", "aql", "n", "accept"),
    [("F", 1.0, 20, 0), ("G", 1.0, 80, 1), ("H", 1.0, 80, 1), ("J", 1.0, 80, 1), ("K", 1.5, 125, 3), ("L", 2.5, 200, 8),
     ("A", 10.0, 8, 1), ("K", 10.0, 125, 18), ("L", 10.0, 125, 18)],
)  # fmt: skip
def test_tightened_cells_one_knows(letter: str, aql: float, n: int, accept: int) -> None:
    """Cells of MIL-STD-105E table II-B around acceptance number 0 and at its ends, from memory of the printed page."""
    plan = single_sample(letter, aql, "tightened")
    assert (plan.n, plan.accept) == (n, accept)


def test_lot_of_200_at_aql_1() -> None:
    """Tightened is 80, accept on 1: 20 with none bad would pass more lots worse than about 3 % than normal does."""
    looks = DefectKind("looks", 1.0)
    assert [(c.n, c.accept) for c in (check_for(200, looks), check_for(200, looks, "tightened"))] == [(50, 1), (80, 1)]
    assert chance_accepted(20, 0, 0.04) > chance_accepted(50, 1, 0.04) > chance_accepted(80, 1, 0.04)


QUALITIES = [10**-4 * 1.1**step for step in range(96)]  # shares bad from 0.01 % to 85 %


def test_tightened_is_never_laxer_than_normal() -> None:
    """Every letter and AQL of the files, the planner's plans and the auditor's: no quality passes more often.

    Binomial (type B). A lot that is inspected piece by piece, none bad, is the sharpest there is.
    """
    normal, tightened = (
        {(r["code_letter"], r["AQL_percent"]): r for r in rows(f"single_{s}_105E.csv")} for s in ("normal", "tightened")
    )
    assert normal.keys() == tightened.keys()
    assert len(normal) == 256
    for letter, aql in normal:
        lot, level = LARGEST_LOT[letter]
        kind = DefectKind("looks", float(aql), level)
        limit = DefectLimit.model_validate({"aql": float(aql), "level": level})
        of_planner = [check_for(lot, kind), check_for(lot, kind, "tightened")]
        for loose, sharp in (
            [(check.n, check.accept) for check in of_planner],
            [printed.sample_of(lot, limit), printed.sample_of(lot, limit, "tightened")],
            [(int(t["plan_n"]), int(t["Ac"])) for t in (normal[letter, aql], tightened[letter, aql])]
            if normal[letter, aql]["plan_letter_used"] != "see standard"
            else [(lot, 0), (lot, 0)],
        ):
            for share in QUALITIES:
                assert chance_accepted(*sharp, share) <= chance_accepted(*loose, share) + 1e-12, (letter, aql, share)


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
