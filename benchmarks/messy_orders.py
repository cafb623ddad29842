"""Messy exports by the thousand rows: each row where it belongs, or the seed that says otherwise; seconds a table.

    python -m benchmarks.messy_orders [tables] [rows]

Tables are made from seeds by the generator of the tests; any row in the wrong place ends it with its cells.
"""

import io
import sys
import time


def main() -> None:
    from api.uploads.orders import read_orders
    from api.uploads.tables import open_table
    from tests.support.messy_orders import KINDS, KNOWN, MAPPING, held, messy_table

    tables = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    rows = int(sys.argv[2]) if len(sys.argv) > 2 else 2400
    taken = aside = 0
    seconds = 0.0
    for seed in range(tables):
        table = messy_table(seed, rows)
        held(table)
        start = time.process_time()
        got = read_orders(open_table(io.BytesIO(table.content)), MAPPING, KNOWN)
        seconds += time.process_time() - start
        taken, aside = taken + len(got.lines), aside + len(got.set_aside)
    print(f"{tables} tables, {len(KINDS)} kinds of mess: {taken + aside} rows in = {taken} lines + {aside} aside, all")
    print(f"where they belong; none twice, none refunded; {seconds / tables:.2f} s of processor time a table")


if __name__ == "__main__":
    main()
