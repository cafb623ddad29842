"""The slip table as a picture: every cell says its days, and a shade never says it alone."""

from datetime import date
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from api.pictures.colours import luminance
from api.pictures.slips import SHADES, _broken, slips_svg
from planner.slips.document import Cell, Policy, SlipRow, SlipTable, TierChange

SVG = "{http://www.w3.org/2000/svg}"
POLICIES: tuple[Policy, ...] = ("nothing else changes", "planned anew")


def change(tier: str, days: int, days_late: int) -> TierChange:
    return TierChange(
        tier=tier, before=date(2027, 2, 1), after=date(2027, 2, 1 + days), days=days, promised=None, days_late=days_late
    )


def cell(name: str, days: int, policy: Policy, tiers: list[TierChange]) -> Cell:
    return Cell(
        kind="tool", name=name, days=days, policy=policy, possible=bool(tiers), audited=True, cost=1.0, cost_change=0.0,
        purge_kg_change=0.0, runs_moved=0, tiers=tiers,
    )  # fmt: skip


@pytest.fixture
def table() -> SlipTable:
    """Two tools, two slips, two tiers: on time, later within the promise, broken, and a slip that cannot be."""
    shell = [
        cell("shell", 3, POLICIES[0], [change("one", 4, 2), change("pair", 4, 0)]),
        cell("shell", 3, POLICIES[1], [change("one", 0, 1), change("pair", 0, 0)]),
        cell("shell", 10, POLICIES[0], [change("one", 14, 12), change("pair", 11, 9)]),
        cell("shell", 10, POLICIES[1], [change("one", 7, 5), change("pair", 0, 0)]),
    ]
    tray = [cell("tray", days, policy, []) for days in (3, 10) for policy in POLICIES]
    rows = [
        SlipRow(kind="tool", name=name, slack_days=0, verdict="big", harm=9.0, words="w", cells=cells)
        for name, cells in (("shell", shell), ("tray", tray))
    ]
    return SlipTable(slips=[3, 10], rows=rows)


def said(table: SlipTable, width: float = 1200) -> dict[str, str]:
    """What each cell says when it is pointed at -> what stands in it."""
    root = ElementTree.fromstring(slips_svg(table, width))
    return {
        title.text or "": "".join(group.find(f"{SVG}text").itertext())
        for group in root.iter(f"{SVG}g")
        if (title := group.find(f"{SVG}title")) is not None
    }


def test_each_cell_says_its_days_and_whether_a_promise_is_broken(table):
    """A tier that was late before the slip and leaves no later breaks no promise by it."""
    cells = said(table)
    begins = "shell 3 days late, nothing else changes: "
    assert cells[f"{begins}one 4 days later, all gone Fri 5 Feb 2027, 2 days after the promised day"] == "▲ +4"
    assert cells[f"{begins}pair 4 days later, all gone Fri 5 Feb 2027"] == "+4"
    anew = "shell 3 days late, planned anew: "
    assert cells[f"{anew}one as planned, all gone Mon 1 Feb 2027, 1 day after the promised day"] == "0"
    assert cells["tray 10 days late, planned anew: cannot be carried out"] == "never"
    assert len(cells) == 2 * 2 * 2 + 4


def test_where_tiers_have_no_room_the_worst_stands_for_all(table):
    """On a phone a cell a slip: the tier hit worst, with what happens to the others in words."""
    cells = said(table, 320)
    assert len(cells) == 8
    text = next(text for text in cells if text.startswith("shell 10 days late, nothing"))
    assert cells[text] == "▲ +14"
    assert "one 14 days later" in text
    assert "pair 11 days later" in text


def test_shades_darken_with_the_days_and_are_no_products_colour():
    """Nearly grey (red, green and blue within 36 of 255), each darker than the last, told apart in grey."""
    fills = [fill for _, fill in SHADES]
    lights = [luminance(fill) for fill in fills]
    assert lights == sorted(lights, reverse=True)
    for brighter, darker in pairwise(lights):
        assert (brighter + 0.05) / (darker + 0.05) > 1.2
    for fill in fills:
        red, green, blue = (int(fill[n : n + 2], 16) for n in (1, 3, 5))
        assert max(red, green, blue) - min(red, green, blue) <= 36


@pytest.mark.parametrize(
    ("days", "days_late", "broken"), [(1, 1, True), (1, 0, False), (0, 1, False), (0, 0, False), (9, 3, True)]
)
def test_a_promise_is_broken_by_who_leaves_late_and_later(days, days_late, broken):
    """Late before, or later and still by the promised day, breaks none."""
    assert _broken(change("one", days, days_late)) == broken
