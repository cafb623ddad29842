"""The PDF says what the API says: figure by figure, none lost, none of its own."""

import io
import re
from collections import Counter
from collections.abc import Iterator
from datetime import date, datetime
from typing import Any

import pytest
from pypdf import PdfReader

from api import wording
from api.paper.setting import written
from api.paper.writing import write_paper
from api.pictures.colours import swatches
from tests.api.shelf import publish_pots
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan

NUMBER = re.compile(r"\d+(?:\.\d+)?")
STATIC_PER_RUN = "100 105 2859 1"
"""The head of the let-down column, and the standards named under each run's sampling plan."""


def texts(value: Any, skip: tuple[str, ...] = ("code",)) -> Iterator[str]:
    """Every text in the sheets' data, but for the drawing of the code and colour fills."""
    if isinstance(value, dict):
        for key, inner in value.items():
            if key not in skip:
                yield from texts(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from texts(inner)
    elif isinstance(value, str) and not re.fullmatch("#[0-9a-f]{6}", value):
        yield value


def dense(text: str) -> str:
    return re.sub(r"\s|\u202f", "", text)


def figures(value: Any) -> Iterator[str]:
    """Every way in which a value of the JSON answer may be written on paper."""
    if isinstance(value, dict):
        for inner in value.values():
            yield from figures(inner)
        yield from value
    elif isinstance(value, list):
        yield wording.number(len(value))
        for inner in value:
            yield from figures(inner)
    elif isinstance(value, str):
        yield value
        for kind, write in ((datetime, wording.moment), (date, wording.day)):
            try:
                yield write(kind.fromisoformat(value))
            except ValueError:
                continue
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield f"{value:g}"
        for places in range(3):
            yield wording.number(value, places)
        yield wording.kilograms(value)
        yield wording.per_cent(value)
        yield wording.duration(value)


@pytest.fixture
def answer(desk) -> dict[str, Any]:
    plan_id = publish_pots(desk.service)
    return desk.client.get(f"/v1/plans/{plan_id}/paper").json()


@pytest.mark.parametrize("size", ["a4", "letter"])
def test_every_figure_on_paper_is_the_apis(desk, size):
    """Both ways: each figure written comes from the JSON answer, and the PDF shows those figures and no other."""
    plan_id = publish_pots(desk.service)
    said = desk.client.get(f"/v1/plans/{plan_id}/paper").json()
    known = {number for text in figures(said) for number in NUMBER.findall(dense(text))}
    sheets = written(
        write_paper(pot_plan(), pot_campaign(), 1, "http://127.0.0.1:8000/plans/x"), swatches(pot_campaign())
    )
    ours = list(texts(sheets))
    assert {number for text in ours for number in NUMBER.findall(dense(text))} <= known

    pdf = desk.client.get(f"/v1/plans/{plan_id}/paper", params={"size": size}, headers={"Accept": "application/pdf"})
    assert pdf.headers["content-type"] == "application/pdf"
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(pdf.content)).pages]
    printed = dense("".join(pages))
    for text in ours:
        assert dense(text) in printed, text
    expected = Counter("".join(ours))
    for number in range(1, len(pages) + 1):
        expected.update(f"{number} {len(pages)} {sheets['name']} {sheets['under']}")
    expected.update(STATIC_PER_RUN * len(sheets["runs"]))
    assert {d: printed.count(d) for d in "0123456789"} == {d: expected[d] for d in "0123456789"}


def test_sheets_have_the_size_asked_for(desk):
    """ISO 216 A4 is 210 x 297 mm, Letter 8.5 x 11 in; PDF points are 1/72 in."""
    plan_id = publish_pots(desk.service)
    for size, width, height in (("a4", 210 / 25.4 * 72, 297 / 25.4 * 72), ("letter", 8.5 * 72, 11 * 72)):
        pdf = desk.client.get(f"/v1/plans/{plan_id}/paper.pdf?size={size}").content
        for page in PdfReader(io.BytesIO(pdf)).pages:
            assert float(page.mediabox.width) == pytest.approx(width, abs=0.1)
            assert float(page.mediabox.height) == pytest.approx(height, abs=0.1)


def test_every_run_has_a_sheet_of_its_own_with_boxes_to_sign(desk):
    """A sheet a run, with where to write what was made and who did it."""
    plan = pot_plan()
    pdf = desk.client.get(f"/v1/plans/{publish_pots(desk.service)}/paper.pdf").content
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages]
    for run in plan.runs:
        sheet = [text for text in pages if f"{run.press}: {run.tool}" in text and run.id in text]
        assert len(sheet) == 1
        assert "set up by" in sheet[0]
        assert "first shots good" in sheet[0]


def test_melt_on_the_run_sheets_is_what_the_buying_list_uses(answer):
    """Kilograms reconcile (A11): melt of all runs = moulded + start-up + purge of resin and masterbatch."""
    drawn = sum(melt["melt_kg"] for sheet in answer["runs"] for melt in sheet["melts"])
    plan = pot_plan()
    assert drawn == pytest.approx(sum(m.moulded_kg + m.startup_kg + m.purge_kg for m in plan.materials), rel=1e-6)


def test_the_manifest_holds_every_parcel_once(answer):
    """Each pick-up's consignments add to its parcels, all pick-ups to the tiers' parcels (A10)."""
    for sheet in answer["pick_ups"]:
        assert sum(c["parcels"] for c in sheet["consignments"]) == sheet["parcels"]
    listed = [batch for sheet in answer["pick_ups"] for c in sheet["consignments"] for batch in c["batches"]]
    assert sorted(listed) == sorted(batch.id for batch in pot_plan().batches)
    assert sum(s["parcels"] for s in answer["pick_ups"]) == sum(t["parcels"] for t in answer["tiers"])


def test_sampling_follows_the_published_tables(answer):
    """MIL-STD-105E: a lot of 501 to 1200 at level II is letter J, n 80; AQL 2.5: accept 5, AQL 0.65: accept 1."""
    samples = [s for sheet in answer["runs"] for s in sheet["samples"] if 501 <= s["lot"] <= 1200]
    assert samples
    for sample in samples:
        assert (sample["letter"], sample["n"]) == ("J", 80)
        assert (sample["accept"], sample["reject"]) == {2.5: (5, 6), 0.65: (1, 2)}[sample["aql"]]
