"""What colour changes cost as CSV (RFC 4180), one change a row."""

import csv
import io

from api.purge.schemas import ColourChanges

HEADINGS = (
    "press",
    "barrel",
    "from",
    "to",
    "kg",
    "kg P10",
    "kg P90",
    "compound kg",
    "shots through the tool",
    "minutes",
    "money",
    "currency",
    "basis",
    "because",
)


def as_csv(said: ColourChanges) -> str:
    """Every change. Ids hold no character a spreadsheet could take for a formula."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(HEADINGS)
    for one in said.changes:
        writer.writerow(
            (
                said.barrel.press,
                said.barrel.barrel,
                one.from_,
                one.to,
                one.kg,
                one.kg_p10,
                one.kg_p90,
                one.compound_kg,
                one.shots,
                one.minutes,
                one.money,
                said.currency,
                one.basis,
                one.because,
            )
        )
    return out.getvalue()
