"""A small invented order table, for the tests beside it: what is known, how columns are mapped, rows to write."""

import csv
import io
import random

from api.uploads.known import Known, TierChoices
from api.uploads.mapping import ColumnMapping
from api.uploads.orders import read_orders
from api.uploads.report import OrdersRead
from api.uploads.tables import open_table

COLOURS = frozenset({"sage", "clay", "night"})
KNOWN = Known(
    {
        "single": TierChoices("single", (("planter", COLOURS),)),
        "pair": TierChoices("pair", (("planter", COLOURS), ("planter", COLOURS))),
        "set": TierChoices("set", (("planter", COLOURS), ("tray", frozenset({"clay", "night"})))),
    },
    COLOURS,
    frozenset({"sleeve", "wick", "planter/sage"}),
)
HEADINGS = ("Order", "E-mail", "Address", "Tier", "Colour 1", "Colour 2", "Sleeves", "Country", "Placed")
MAPPING = ColumnMapping(
    tier="Tier",
    colours=("Colour 1", "Colour 2"),
    ref="Order",
    country="Country",
    date="Placed",
    add_ons={"sleeve": "Sleeves"},
)


def good_rows(number: int, seed: int = 1) -> list[list[str]]:
    """Rows that are all right, some with delimiters, quote marks and line breaks in the address."""
    draw = random.Random(seed)
    rows = []
    for n in range(number):
        tier = draw.choice(("single", "pair", "set"))
        colours = [draw.choice(("clay", "night")), "" if tier == "single" else draw.choice(("clay", "night", ""))]
        address = draw.choice(
            ("1 Mill Lane", "2 Mill Lane, Flat 3", 'The "Old" Mill', "4 Mill Lane\nUpper Floor, Back", "Mühlweg 5")
        )
        country = draw.choice(("DE", "GB", "Österreich", "Côte d'Ivoire", "us"))
        rows.append(
            [
                f"A{n:04d}",
                f"p{n}@example.org",
                address,
                tier,
                *colours,
                draw.choice(("", "1", "2")),
                country,
                "2027-03-01",
            ]
        )
    return rows


def as_csv(
    rows: list[list[str]], delimiter: str = ",", newline: str = "\r\n", headings: tuple[str, ...] = HEADINGS
) -> str:
    """The table as RFC 4180 text."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=delimiter, lineterminator=newline)
    writer.writerow(headings)
    writer.writerows(rows)
    return out.getvalue()


def read(data: bytes, mapping: ColumnMapping = MAPPING, known: Known = KNOWN, **options: object) -> OrdersRead:
    """Read a table and hold it to the promise that every row ends in exactly one place."""
    table = open_table(io.BytesIO(data), **options)  # type: ignore[arg-type]
    got = read_orders(table, mapping, known)
    assert got.rows == len(got.lines) + len(got.set_aside)
    places = [line.row for line in got.lines] + [aside.row for aside in got.set_aside]
    assert len(places) == len(set(places))
    for aside in got.set_aside:
        assert aside.reason
        assert aside.remedy
        assert aside.row > got.source.heading_row
    return got


def refs(got: OrdersRead) -> list[str]:
    """References of the lines taken, in order."""
    return [line.ref for line in got.lines]
