"""From table to campaign document: the demo's order book written out and read back is the same order book."""

import csv
import io
from collections import Counter
from pathlib import Path

import openpyxl
import pytest

from api.uploads.document import planned_orders
from api.uploads.known import Known
from api.uploads.mapping import ColumnMapping
from planner.campaign import Campaign
from planner.demand.items import units_of
from tests.api.uploads.order_table import KNOWN, MAPPING, as_csv, read

DEMO = Path(__file__).resolve().parents[3] / "examples" / "herb-planter.json"


@pytest.fixture(scope="module")
def demo() -> Campaign:
    """The demo campaign."""
    return Campaign.model_validate_json(DEMO.read_text(encoding="utf-8"))


def demo_table(demo: Campaign) -> tuple[list[str], list[list[str | int]], ColumnMapping]:
    """The demo's orders as a table: five colour columns, add-ons by piece and by unit, a count."""
    choices = max(sum(tier.units.values()) for tier in demo.tiers.values())
    add_ons = sorted({p for line in demo.orders for p in line.extra_pieces})
    add_ons += sorted({f"{p}/{c}" for line in demo.orders for p, cs in line.extra_units.items() for c in cs})
    colours = [f"Choice {n + 1}" for n in range(choices)]
    headings = ["Our no", "Tier", *colours, "Send to", "Parcels", *add_ons]
    rows: list[list[str | int]] = []
    for line in demo.orders:
        chosen = [c for colourways in line.units.values() for c in colourways]
        extra = Counter(line.extra_pieces)
        extra.update(f"{p}/{c}" for p, cs in line.extra_units.items() for c in cs)
        rows.append([line.ref, line.tier, *chosen, *[""] * (choices - len(chosen)), line.country, line.count])
        rows[-1] += [extra[name] or "" for name in add_ons]
    mapping = ColumnMapping(
        tier="Tier", colours=tuple(colours), ref="Our no", country="Send to", count="Parcels",
        add_ons={name: name for name in add_ons},
    )  # fmt: skip
    return headings, rows, mapping


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_the_demo_comes_back_as_it_was(demo: Campaign, kind: str) -> None:
    """3,200 lines with add-ons and counts, through CSV and through XLSX written by another library."""
    headings, rows, mapping = demo_table(demo)
    if kind == "csv":
        text = io.StringIO()
        csv.writer(text, delimiter=";").writerows([headings, *rows])
        data = text.getvalue().encode("utf-16")
    else:
        book = openpyxl.Workbook()
        for row in [headings, *rows]:
            book.active.append(row)  # type: ignore[union-attr]
        out = io.BytesIO()
        book.save(out)
        data = out.getvalue()
    got = read(data, mapping, Known.of_campaign(demo))
    assert got.set_aside == []
    made = planned_orders(got.lines, Known.of_campaign(demo))
    assert made.listed == []
    assert [units_of(line) for line in made.orders] == [units_of(line) for line in demo.orders]
    assert [line.model_dump() for line in made.orders] == [line.model_dump() for line in demo.orders]


def test_known_of_the_demo(demo: Campaign) -> None:
    """A tier takes a choice for each unit; pieces and single units may be add-ons."""
    known = Known.of_campaign(demo)
    assert {name: tier.choices for name, tier in known.tiers.items()} == {
        "single": 1, "pair": 2, "trio": 3, "windowsill": 5,
    }  # fmt: skip
    assert {"spare-wicks", "planter/sage"} <= known.add_ons
    assert known.colourways == set(demo.products["planter"].colourways)


def test_open_choices_are_filled_listed_and_conserved() -> None:
    """Orders and units before and after are the same in number; each planned choice is on offer and listed."""
    rows = [
        [f"A{n}", "", "", "set", "clay" if n % 3 else "", "night" if n % 2 else "-", "", "DE", ""] for n in range(60)
    ]
    got = read(as_csv(rows).encode(), MAPPING)
    made = planned_orders(got.lines, KNOWN, 0.1)
    assert got.missing_choices == 20 + 30 == sum(n for *_, n in made.listed)
    assert sum(line.count for line in made.orders) == got.orders == 60
    assert all(set(line.units["tray"]) <= {"clay", "night"} for line in made.orders)
    assert sum(sum(units_of(line).values()) * line.count for line in made.orders) == 120
    assert {pool.product: pool.missing for pool in made.choices.pools} == {"planter": 20, "tray": 30}
    assert made.choices.pools[1].planned == {"clay": 0, "night": 30}
    assert made.choices.pools[1].safety == {"clay": 0, "night": 3}
    assert made.listed[0][:4] == (2, "A0", 1, "planter")


def test_a_line_of_many_orders_is_cut_where_choices_differ() -> None:
    """Ninety orders without a choice become lines of the planned shares, with the line's own reference."""
    headings = ("Reward", "Colour", "Country", "Orders")
    rows = [["single", "sage", "DE", "60"], ["single", "clay", "DE", "30"], ["single", "", "GB", "90"]]
    mapping = ColumnMapping(tier="Reward", colours=("Colour",), country="Country", count="Orders")
    made = planned_orders(read(as_csv(rows, headings=headings).encode(), mapping).lines, KNOWN)
    assert [(line.units["planter"], line.count) for line in made.orders] == [
        (["sage"], 60), (["clay"], 30), (["clay"], 30), (["sage"], 60),
    ]  # fmt: skip
