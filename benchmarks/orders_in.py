"""Reading order tables, 1 % of rows bad: seconds, peak memory and counts for a large CSV and the same as XLSX.

    python -m benchmarks.orders_in [rows]

Prints one line for each file kind; the process is new for each, so that its peak memory is its own.
"""

import csv
import random
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
TIERS = {"single": 1, "pair": 2, "set": 3}
COLOURS = ("sage", "clay", "night", "chalk", "plum")
COUNTRIES = ("DE", "GB", "US", "FR", "NL", "Canada", "Australia", "Österreich")
COLOUR_COLUMNS = ("Colour 1", "Colour 2", "Colour 3")
HEADINGS = ("Our no", "Supporter", "E-mail", "Tier", *COLOUR_COLUMNS, "Sleeves", "Country", "Date")
SPOILED = {
    "tier": (3, "singel"),
    "colour": (4, "=A1"),
    "country": (8, "Atlantis"),
    "count": (7, "1,5"),
    "date": (9, "?"),
}


def rows(number: int, seed: int = 7) -> tuple[list[list[str]], int]:
    """Order rows, and how many of them were spoiled (exactly one in a hundred)."""
    draw = random.Random(seed)
    spoiled = set(draw.sample(range(number), number // 100))
    made = []
    for n in range(number):
        tier = draw.choice(list(TIERS))
        colours = [draw.choice(COLOURS) if draw.random() > 0.03 else "" for _ in range(TIERS[tier])]
        colours += [""] * (3 - len(colours))
        row = [f"A{n:06d}", f"Person {n}", f"p{n}@example.org", tier, *colours, draw.choice(("", "1", "2"))]
        row += [draw.choice(COUNTRIES), f"2027-0{draw.randint(1, 9)}-1{draw.randint(0, 9)}"]
        if n in spoiled:
            kind = draw.choice(list(SPOILED))
            place, cell = SPOILED[kind]
            row[place] = cell
        made.append(row)
    return made, len(spoiled)


def write_csv(path: Path, made: list[list[str]]) -> None:
    with open(path, "w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, delimiter=";")
        writer.writerow(HEADINGS)
        writer.writerows(made)


def write_xlsx(path: Path, made: list[list[str]]) -> None:
    import openpyxl

    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet("Orders")
    sheet.append(HEADINGS)
    for row in made:
        sheet.append([int(c) if c.isdigit() else c or None for c in row])
    book.save(path)


def read(path: str) -> None:
    """In a process of its own: read the file and print what it took."""
    from api.uploads.known import Known, TierChoices
    from api.uploads.mapping import ColumnMapping
    from api.uploads.orders import read_orders
    from api.uploads.tables import open_table

    def peak_mb() -> float:
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024

    offered = frozenset(COLOURS)
    tiers = {t: TierChoices(t, tuple(("planter", offered) for _ in range(n))) for t, n in TIERS.items()}
    known = Known(tiers, offered, frozenset({"sleeve"}))
    mapping = ColumnMapping(
        tier="Tier",
        colours=COLOUR_COLUMNS,
        ref="Our no",
        country="Country",
        date="Date",
        add_ons={"sleeve": "Sleeves"},
    )
    before = peak_mb()
    start, work = time.perf_counter(), time.process_time()
    with open(path, "rb") as file:
        got = read_orders(open_table(file), mapping, known)
    seconds, processor = time.perf_counter() - start, time.process_time() - work
    assert got.rows == len(got.lines) + len(got.set_aside)
    size = Path(path).stat().st_size / 2**20
    print(
        f"{got.source.kind:5} {size:6.1f} MiB  {got.rows:>7} rows in = {len(got.lines)} lines + "
        f"{len(got.set_aside)} aside  "
        f"{seconds:6.2f} s ({processor:.2f} s of processor)  peak {peak_mb():6.0f} MiB ({before:.0f} MiB before)"
    )


def main() -> None:
    if len(sys.argv) == 3 and sys.argv[1] == "--read":
        read(sys.argv[2])
        return
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    made, spoiled = rows(number)
    with tempfile.TemporaryDirectory() as folder:
        for name, write in (("orders.csv", write_csv), ("orders.xlsx", write_xlsx)):
            path = Path(folder) / name
            write(path, made)
            sys.stdout.flush()
            subprocess.run([sys.executable, "-m", "benchmarks.orders_in", "--read", str(path)], check=True, cwd=ROOT)
    print(f"spoiled on purpose: {spoiled}")


if __name__ == "__main__":
    main()
