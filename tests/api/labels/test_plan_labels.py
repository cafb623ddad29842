"""Labels of a plan: one a parcel and one a pallet, codes by GS1's own worked positions, on paper as in the list."""

import csv
import io
import re
from collections import Counter

import pytest
from pypdf import PdfReader

from api.labels import routes
from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.plan.labels import labels, number_of
from planner.planning.make import make_plan
from tests.api.plan_fixtures import publish
from tests.support.carton_campaign import campaign

PREFIX = {"gs1_prefix": "7610425", "serial_from": 2123456, "extension": 3}
"""With these the first code is 376104250021234569: GS1's check digit page, recalled from memory."""


def check_digit(body: str) -> int:
    """GS1 General Specifications 7.9: positions 1 to 17 of an SSCC weigh 3, 1, 3, ..., written out from the left."""
    weighed = sum(int(digit) * weight for digit, weight in zip(body, [3, 1] * 8 + [3], strict=True))
    return (10 - weighed % 10) % 10


@pytest.fixture(scope="module")
def made():
    """The bowls with a prefix, and their plan."""
    bowls = campaign(labels=PREFIX)
    return bowls, make_plan(bowls, Unhurried())


def rows_of(answer) -> list[dict[str, str]]:
    """A list of labels as dictionaries."""
    assert answer.status_code == 200
    return list(csv.DictReader(io.StringIO(answer.text.removeprefix("\ufeff"))))


def test_every_parcel_and_pallet_has_a_label_of_its_own(app, made):
    """Counts by order line, numbers without gaps, codes that differ and whose last digit is right."""
    bowls, plan = made
    plan_id = publish(app.service, bowls, plan)
    rows = rows_of(app.client.get(f"/v1/plans/{plan_id}/labels.csv"))
    parcels = [row for row in rows if row["kind"] == "parcel"]
    assert Counter(row["order"] for row in parcels) == Counter({line.ref: line.count for line in bowls.orders})
    for batch in plan.batches:
        own = [row for row in parcels if row["batch"] == batch.id]
        assert [int(row["number"]) for row in own] == list(range(1, batch.parcels + 1))
        assert batch.box is not None
        assert {float(row["gross kg"]) for row in own} == {round(batch.box.gross_kg, 3)}
    codes = [row["code"].removeprefix("(00)") for row in rows]
    assert codes[0] == "376104250021234569"
    assert len(set(codes)) == len(rows) == number_of(plan)
    for code in codes:
        assert re.fullmatch(r"37610425\d{10}", code)
        assert int(code[-1]) == check_digit(code[:-1])


def test_pallets_are_of_all_batches_that_leave_together(made):
    """Ninety small boxes are half a pallet alone; the forty-one others of their pick-up go on the same."""
    _, plan = made
    (dispatch,) = plan.dispatches
    small = next(p for p in dispatch.pallets if p.carton == "small-box")
    assert small.parcels == sum(b.parcels for b in plan.batches if b.box and b.box.carton == "small-box") == 131
    assert (small.load.pallets, small.load.last, small.load.per_layer) == (1, 131, 15)
    assert small.load.gross_kg == pytest.approx(25 + 131 * small.parcel_kg)
    pallet = [label for label in labels(*made) if label.kind == "pallet"]
    assert [(label.parcels, label.number, label.of) for label in pallet] == [(131, 1, 1)]
    assert pallet[0].gross_kg == pytest.approx(25 + 131 * small.parcel_kg)


def test_the_makers_own_words_stand_on_each_parcel(app, made):
    """Those of the campaign, or those of this printing; never on pallets."""
    bowls = campaign(labels={"text": "Thank you! Wash by hand."})
    plan_id = publish(app.service, bowls, made[1])
    rows = rows_of(app.client.get(f"/v1/plans/{plan_id}/labels.csv"))
    assert {(row["kind"], row["text"]) for row in rows} == {("parcel", "Thank you! Wash by hand."), ("pallet", "")}
    other = {"text": "=Questions? The card inside #1", "dispatch": ""}
    rows = rows_of(app.client.get(f"/v1/plans/{plan_id}/labels.csv", params=other))
    assert {row["text"] for row in rows} == {"'=Questions? The card inside #1", ""}
    printed = app.client.get(f"/v1/plans/{plan_id}/labels.pdf", params=other | {"size": "letter"})
    first = PdfReader(io.BytesIO(printed.content)).pages[0]
    assert "=Questions? The card inside #1" in " ".join(first.extract_text().split())
    assert 'value="Thank you! Wash by hand."' in app.client.get(f"/plans/{plan_id}/paper").text
    assert app.client.get(f"/v1/plans/{plan_id}/labels.csv", params={"text": "x" * 301}).status_code == 422


def test_codes_do_not_depend_on_what_is_asked_for(app, made):
    """One pick-up's labels are those it has among all; an unknown pick-up is said to be none."""
    bowls, plan = made
    plan_id = publish(app.service, bowls, plan)
    all_of_them = rows_of(app.client.get(f"/v1/plans/{plan_id}/labels.csv"))
    name = plan.dispatches[-1].id
    own = rows_of(app.client.get(f"/v1/plans/{plan_id}/labels.csv?dispatch={name}"))
    assert own == [row for row in all_of_them if row["dispatch"] == name]
    assert app.client.get(f"/v1/plans/{plan_id}/labels.csv?dispatch=x").status_code == 422


def test_paper_says_what_the_list_says(app, made):
    """Ten on a sheet, each with its order, contents and code; without a prefix there is no code."""
    bowls, plan = made
    plan_id = publish(app.service, bowls, plan)
    rows = rows_of(app.client.get(f"/v1/plans/{plan_id}/labels.csv"))
    printed = app.client.get(f"/v1/plans/{plan_id}/labels.pdf?skip=140")
    assert printed.headers["content-type"] == "application/pdf"
    pages = PdfReader(io.BytesIO(printed.content)).pages
    rest = rows[140:]
    assert len(pages) == -(-len(rest) // 10)
    text = " ".join(page.extract_text() for page in pages)
    assert all(row["code"] in text for row in rest)
    assert "1 bowl cream" in text
    assert {label.code for label in labels(campaign(), plan)} == {""}


def test_a_serial_without_room_is_refused():
    """Twelve digits of prefix leave four for the serial."""
    with pytest.raises(CampaignProblems) as refused:
        campaign(labels={"gs1_prefix": "761042512345", "serial_from": 9900})
    assert [problem.pointer for problem in refused.value.problems] == ["/labels/serial_from"]
    campaign(labels={"gs1_prefix": "761042512345", "serial_from": 1})


@pytest.mark.parametrize(("skip", "first", "last"), [(0, 0, 2), (1, 1, 3), (3, 3, 4), (9, 0, 0)])
def test_so_many_labels_are_printed_at_a_time(app, made, monkeypatch, skip, first, last):
    """From the one behind those left out on; behind the last there are none."""
    bowls, plan = made
    four = list(labels(bowls, plan))[:4]
    printed = []
    monkeypatch.setattr(routes, "MOST_PRINTED", 2)
    monkeypatch.setattr(routes, "labels", lambda *_: iter(four))
    monkeypatch.setattr(routes, "print_labels", lambda some, _size: printed.extend(some) or b"%PDF")
    plan_id = publish(app.service, bowls, plan)
    assert app.client.get(f"/v1/plans/{plan_id}/labels.pdf?skip={skip}").status_code == 200
    assert printed == four[first:last]
