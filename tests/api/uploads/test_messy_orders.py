"""Messy exports: every row is in the plan's orders or among those set aside, none twice, none lost, none refunded."""

import io

import pytest

from api.uploads.suggest import preview
from api.uploads.tables import open_table
from tests.support.messy_orders import HEADINGS, KINDS, KNOWN, held, messy_table


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
