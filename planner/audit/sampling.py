"""The inspector's work checked against the printed tables of MIL-STD-105E: samples, verdicts, minutes on the bench.

Tables I, II-A and II-B as printed, arrows included (MIL-STD-105E, 10 May 1989; the same scheme as ISO 2859-1):
nothing is rebuilt from a rule here.
"""

from collections import defaultdict
from fractions import Fraction

from planner.audit.case import Case, open_cavities
from planner.audit.figures import exact, same
from planner.audit.findings import Findings
from planner.audit.needs import Item
from planner.audit.shared import is_shared, shots_with
from planner.campaign.inspection import DefectLimit, Inspection
from planner.campaign.tools import Tool
from planner.plan.document import RunInspection

LETTERS = "ABCDEFGHJKLMNPQR"
SIZES = (2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800, 1250, 2000, 3150)
AQLS = ("0.01", "0.015", "0.025", "0.04", "0.065", "0.1", "0.15", "0.25", "0.4", "0.65", "1.0", "1.5", "2.5", "4.0",
        "6.5", "10.0")  # fmt: skip
LEVELS = ("S1", "S2", "S3", "S4", "I", "II", "III")

# Largest lot of the row, letters by level.
TABLE_I = (
    (8, "AAAAAAB"), (15, "AAAAABC"), (25, "AABBBCD"), (50, "ABBCCDE"), (90, "BBCCCEF"), (150, "BBCDDFG"),
    (280, "BCDEEGH"), (500, "BCDEFHJ"), (1200, "CCEFGJK"), (3200, "CDEGHKL"), (10000, "CDFGJLM"), (35000, "CDFHKMN"),
    (150000, "DEGJLNP"), (500000, "DEGJMPQ"),
)  # fmt: skip
BEYOND = "DEHKNQR"

# Acceptance numbers by letter and AQL; v: use the plan below, ^: the one above.
TABLE_II_A = """
v v v v v v v v v v v v v v 0 v
v v v v v v v v v v v v v 0 ^ v
v v v v v v v v v v v v 0 ^ v 1
v v v v v v v v v v v 0 ^ v 1 2
v v v v v v v v v v 0 ^ v 1 2 3
v v v v v v v v v 0 ^ v 1 2 3 5
v v v v v v v v 0 ^ v 1 2 3 5 7
v v v v v v v 0 ^ v 1 2 3 5 7 10
v v v v v v 0 ^ v 1 2 3 5 7 10 14
v v v v v 0 ^ v 1 2 3 5 7 10 14 21
v v v v 0 ^ v 1 2 3 5 7 10 14 21 ^
v v v 0 ^ v 1 2 3 5 7 10 14 21 ^ ^
v v 0 ^ v 1 2 3 5 7 10 14 21 ^ ^ ^
v 0 ^ v 1 2 3 5 7 10 14 21 ^ ^ ^ ^
0 ^ v 1 2 3 5 7 10 14 21 ^ ^ ^ ^ ^
^ v 1 2 3 5 7 10 14 21 ^ ^ ^ ^ ^ ^
"""

# Both cells below 0 point down here, but at the table's foot (letter R at 0.015). That cell and the last row, which
# no lot asks for (letter S, 3150 pieces; its other cells lead nowhere we need), are from memory.
TABLE_II_B = """
v v v v v v v v v v v v v v v v
v v v v v v v v v v v v v v 0 v
v v v v v v v v v v v v v 0 v v
v v v v v v v v v v v v 0 v v 1
v v v v v v v v v v v 0 v v 1 2
v v v v v v v v v v 0 v v 1 2 3
v v v v v v v v v 0 v v 1 2 3 5
v v v v v v v v 0 v v 1 2 3 5 8
v v v v v v v 0 v v 1 2 3 5 8 12
v v v v v v 0 v v 1 2 3 5 8 12 18
v v v v v 0 v v 1 2 3 5 8 12 18 ^
v v v v 0 v v 1 2 3 5 8 12 18 ^ ^
v v v 0 v v 1 2 3 5 8 12 18 ^ ^ ^
v v 0 v v 1 2 3 5 8 12 18 ^ ^ ^ ^
v 0 v v 1 2 3 5 8 12 18 ^ ^ ^ ^ ^
0 ^ v 1 2 3 5 8 12 18 ^ ^ ^ ^ ^ ^
. . 1 . . . . . . . . . . . . .
"""
CELLS = {
    severity: [line.split() for line in table.split("\n") if line]
    for severity, table in (("normal", TABLE_II_A), ("tightened", TABLE_II_B))
}


def severity_of(asked: Inspection) -> str:
    """Normal or tightened, by the lots before (MIL-STD-105E 4.7): tightened once two of five are rejected, normal
    again after five accepted in a row; tightened where five rejected while tightened would stop inspection."""
    severity, last, rejected = "normal", list[str](), 0
    for verdict in asked.past_lots:
        last = [*last, verdict][-5:]
        if severity == "normal" and last.count("rejected") >= 2:
            severity, last, rejected = "tightened", [], 0
        elif severity == "tightened":
            rejected += verdict == "rejected"
            if rejected == 5:
                return "tightened"
            if last == ["accepted"] * 5:
                severity, last = "normal", []
    return severity


def sample_of(lot: int, limit: DefectLimit, severity: str = "normal") -> tuple[int, int]:
    """(n, Ac) for one kind of defect in a lot; the whole lot, none bad, where the table asks for as many or stops.

    Where the normal table stops, tightened inspection takes the whole lot as well.
    """
    if lot < 2:
        return lot, 0
    letters = next((letters for largest, letters in TABLE_I if lot <= largest), BEYOND)
    row, column = LETTERS.index(letters[LEVELS.index(limit.level)]), AQLS.index(str(float(limit.aql)))
    normal, found = (_follow(CELLS[table], row, column) for table in ("normal", severity))
    return found if normal and found and found[0] < lot else (lot, 0)


def _follow(cells: list[list[str]], row: int, column: int) -> tuple[int, int] | None:
    """(n, Ac) of the cell, arrows followed; nothing where they lead off the table's end."""
    while row < len(cells) and cells[row][column] in "v^":
        row += 1 if cells[row][column] == "v" else -1
    return (SIZES[row], int(cells[row][column])) if row < len(cells) else None


def minutes_of(lot: int, asked: Inspection) -> Fraction:
    """Inspector's minutes for a lot."""
    drawn = max(sample_of(lot, limit, severity_of(asked))[0] for limit in asked.defects.values())
    return exact(asked.lot_minutes) + drawn * exact(asked.minutes) + 2 * exact(asked.off_minutes)


def bench_minutes(case: Case) -> dict[Item, Fraction]:
    """Item -> inspector's minutes at the assembly bench for each part ordered.

    A demand's shots are one lot, or as many as it may be cut into (three at most), whichever takes more minutes.
    """
    shots: dict[tuple[int, tuple[str, ...]], int] = defaultdict(int)
    for item in case.needs:
        shots[_demand(case, item)] = max(shots[_demand(case, item)], case.shots_alone(item))
    found = {}
    for item, need in case.needs.items():
        if is_shared(case, item[0]):
            each = [
                _most_minutes(case.campaign.tools[name], item[0], n, wanted)
                for name, n in shots_with(case, item).items()
                if (wanted := case.campaign.parts[item[0]].inspection) and wanted.at == "assembly" and need.ordered
            ]
            if each:
                found[item] = sum(each, Fraction(0)) / need.ordered
            continue
        asked, tool = case.campaign.parts[item[0]].inspection, case.tool_of(item[0])
        if asked is None or asked.at != "assembly" or tool is None or not need.ordered:
            continue
        total = shots[_demand(case, item)]
        if total and open_cavities(tool, item[0]):
            found[item] = _most_minutes(tool, item[0], total, asked) / need.ordered
    return found


def _most_minutes(tool: Tool, part: str, total: int, asked: Inspection) -> Fraction:
    """Minutes for a demand's shots as one lot, or as the lots it may be cut into, whichever is more."""
    cavities, cuts = open_cavities(tool, part), 1
    if tool.smallest_lot_shots and total >= 2 * tool.smallest_lot_shots:
        cuts = min(3, total // tool.smallest_lot_shots)
    apart = [total // cuts + (n < total % cuts) for n in range(cuts)]
    return Fraction(max(minutes_of(total * cavities, asked), sum(minutes_of(s * cavities, asked) for s in apart)))


def _demand(case: Case, item: Item) -> tuple[int, tuple[str, ...]]:
    return id(case.tool_of(item[0])), item[1]


def inspections(case: Case, notes: Findings) -> None:
    """Each run's inspection: every part that is to be inspected, its lot, samples, verdicts and minutes."""
    due = {
        (work.run.id, part): work.run.shots * open_cavities(work.tool, part)
        for work in case.works
        for part in work.tool.cavities
        if case.campaign.parts[part].inspection and open_cavities(work.tool, part)
    }
    told = [(found.run, found.part) for found in case.plan.inspections]
    if sorted(told) != sorted(due):
        notes.fault(f"inspected are {sorted(told)}, to be inspected {sorted(due)}")
        return
    for found in case.plan.inspections:
        asked = case.campaign.parts[found.part].inspection
        assert asked is not None  # it is due
        for trouble in _wrong(found, asked, due[found.run, found.part]):
            notes.fault(f"inspection of `{found.part}` of run {found.run}: {trouble}")


def _wrong(found: RunInspection, asked: Inspection, lot: int) -> list[str]:
    severity = severity_of(asked)
    ours = {kind: sample_of(lot, limit, severity) for kind, limit in asked.defects.items()}
    theirs = {one.defect: (one.n, one.accept) for one in found.samples}
    drawn, minutes = max(n for n, _ in ours.values()), float(minutes_of(lot, asked))
    pairs = (
        ("pieces in the lot", found.lot, lot),
        ("inspection", found.severity, severity),
        ("samples", theirs, ours),
        ("pieces drawn", found.sample, drawn),
        ("rejected from", {one.defect: one.reject for one in found.samples}, {k: a + 1 for k, (_, a) in ours.items()}),
        ("pieces used up", found.used_up, drawn if asked.destructive else 0),
        ("first-off and last-off pieces", (found.first_off, found.last_off), (asked.off_pieces, asked.off_pieces)),
    )
    wrong = [f"{what}: {right}, the plan says {said}" for what, said, right in pairs if said != right]
    if not same(found.minutes, minutes, 0.02):
        wrong.append(f"it takes {minutes:g} minutes, the plan says {found.minutes:g}")
    return wrong
