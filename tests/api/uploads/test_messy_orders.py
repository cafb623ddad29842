"""Messy exports: every row is in the plan's orders or among those set aside, none twice, none lost, none refunded."""

import io

import pytest

from api.uploads.orders import read_orders
from api.uploads.suggest import preview
from api.uploads.tables import open_table
from tests.support.messy_orders import HEADINGS, KINDS, KNOWN, MAPPING, REF, MessyTable, messy_table


def held(table: MessyTable) -> None:
    """Reads the table and holds it to its truth."""
    got = read_orders(open_table(io.BytesIO(table.content)), MAPPING, KNOWN)
    assert got.rows == len(table.orders) + table.extra_rows == len(got.lines) + len(got.set_aside)
    places = [line.row for line in got.lines] + [aside.row for aside in got.set_aside]
    assert len(places) == len(set(places))
    taken = {line.ref: line for line in got.lines}
    assert len(taken) == len(got.lines)
    for order in table.orders:
        line = taken.pop(order.cells[REF], None)
        if order.fate == "aside":
            assert line is None, (order.kind, order.cells)
        else:
            assert line is not None, (
                order.kind,
                order.cells,
                [a for a in got.set_aside if a.cells.get("ref") == order.ref],
            )
            said = (line.ref, line.tier, line.colourways, tuple(sorted(line.add_ons.items())), line.country, line.count)
            assert said == order.told, (order.kind, order.cells)
    assert taken == {}
    assert "@" not in repr(got)
    assert "Mill" not in repr(got)


@pytest.mark.parametrize("seed", range(6))
def test_every_row_is_where_it_belongs(seed: int) -> None:
    """Whatever the mess: taken as ordered, or set aside with a reason."""
    held(messy_table(seed, 240))


def test_there_are_many_kinds_of_mess() -> None:
    """More than forty, each in every table."""
    assert len(KINDS) > 40
    assert {order.kind for order in messy_table(1, 240).orders} >= set(KINDS)


def test_its_columns_are_proposed() -> None:
    """By heading and by cells; what is personal is left alone."""
    seen = preview(open_table(io.BytesIO(messy_table(3, 240).content)), KNOWN)
    assert {"Reach me at", "Lives at"} <= set(HEADINGS)
    assert seen.personal["Reach me at"] == "e-mail"
