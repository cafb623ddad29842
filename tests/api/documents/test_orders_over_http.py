"""Tables of orders over HTTP: columns suggested, rows read, nothing lost, personal data left at the door."""

import csv
import io
import json
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import httpx2 as httpx
import pytest

from api.apart.process import Places
from planner.reading import read
from tests.api.app_client import AppClient
from tests.api.plan_fixtures import waiting
from tests.support.carton_campaign import DOCUMENT

HEADINGS = ["Order no", "Reward", "Bowl 1", "Bowl 2", "Lids", "Land", "E-mail", "Remark"]
MAPPING = {
    "tier": "Reward",
    "colours": ["Bowl 1", "Bowl 2"],
    "ref": "Order no",
    "country": "Land",
    "add_ons": {"lid": "Lids"},
}
ROWS = [
    ["A1", "one", "cream", "", "", "GB", "a@example.org", ""],
    ["A2", "two", "cream", "Slate", "2", "Germany", "b@example.org", ""],
    ["A3", "two", "", "", "", "US", "c@example.org", ""],
    ["A4", "three", "cream", "", "", "GB", "d@example.org", ""],
    ["A5", "one", "gold", "", "", "GB", "e@example.org", ""],
    ["A1", "one", "cream", "", "", "GB", "a@example.org", ""],
    ["A6", "one", "slate", "", "4000", "GB", "f@example.org", ""],
    ["A7", "one", "slate", "", "", "Atlantis", "g@example.org", ""],
]


def as_csv(rows: list[list[str]]) -> bytes:
    """The table as a file."""
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=";").writerows([HEADINGS, *rows])
    return out.getvalue().encode("utf-16")


@pytest.fixture
def plan_id(app: AppClient) -> str:
    """A plan whose campaign knows the tiers and colourways."""
    return waiting(app.service, json.dumps(DOCUMENT), "bowls")


def send(app: AppClient, path: str, content: bytes, mapping: Any = None, **headers: str) -> httpx.Response:
    """The form with the file and the mapping."""
    data = {} if mapping is None else {"mapping": mapping if isinstance(mapping, str) else json.dumps(mapping)}
    files = {"file": ("orders.csv", content, "text/csv")}
    return app.client.post(path, data=data, files=files, headers=headers)


def test_columns_are_suggested_not_taken(app: AppClient, plan_id: str) -> None:
    """Encoding and delimiter found, columns proposed with the reason, personal ones named and not shown."""
    answer = send(app, f"/v1/plans/{plan_id}/orders/columns", as_csv(ROWS))
    said = answer.json()
    assert answer.status_code == 200, said
    assert (said["encoding"].upper()[:6], said["delimiter"]) == ("UTF-16", ";")
    proposed = {(one["field"], one["column"]) for one in said["suggestions"]}
    assert {("tier", "Reward"), ("colour", "Bowl 1"), ("country", "Land"), ("ref", "Order no")} <= proposed
    assert said["dropped"] == {"E-mail": "e-mail", "Remark": "free text"}
    assert "example.org" not in answer.text


def test_rows_in_are_rows_taken_and_set_aside(app: AppClient, plan_id: str) -> None:
    """Every row once, by number, with reason and remedy; repeats named; the rest planned."""
    answer = send(app, f"/v1/plans/{plan_id}/orders", as_csv(ROWS), MAPPING)
    said = answer.json()
    assert answer.status_code == 200, said
    assert (said["rows"], said["rows_taken"], said["rows_set_aside"]) == (8, 3, 5)
    aside = {one["row"]: one["field"] for one in said["set_aside"]}
    assert aside == {5: "tier", 6: "colours", 7: "ref", 8: "add-on lid", 9: "country"}
    assert all(one["reason"] and one["remedy"] for one in said["set_aside"])
    assert said["repeats"] == [{"what": "A1", "rows": [2, 7], "kept": False}]
    assert sum(one["rows"] for one in said["reasons"]) == 5
    assert said["missing_choices"] == 2
    assert sum(pool["missing"] for pool in said["pools"]) == 2
    assert {choice["ref"] for choice in said["planned_choices"]} == {"A3"}
    assert said["dropped"].keys() == {"E-mail", "Remark"}
    assert "example.org" not in answer.text


def test_the_order_lines_fit_the_campaign_document(app: AppClient, plan_id: str) -> None:
    """Put in the document, they pass every cross-check."""
    lines = send(app, f"/v1/plans/{plan_id}/orders", as_csv(ROWS), MAPPING).json()["orders"]
    campaign = read(DOCUMENT | {"orders": lines})
    assert sum(line.count for line in campaign.orders) == 3
    assert campaign.orders[1].extra_pieces == {"lid": 2}
    assert campaign.orders[1].country == "DE"


def test_rows_set_aside_come_as_a_table_too(app: AppClient, plan_id: str) -> None:
    """To be mended and sent again."""
    answer = send(app, f"/v1/plans/{plan_id}/orders", as_csv(ROWS), MAPPING, accept="text/csv")
    table = list(csv.DictReader(io.StringIO(answer.text.removeprefix("\ufeff"), newline="")))
    assert [row["Row in the table"] for row in table] == ["5", "6", "7", "8", "9"]
    assert all(row["Why set aside"] for row in table)


@pytest.mark.parametrize(
    ("content", "mapping", "where"),
    [
        (b"", MAPPING, "file"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600, MAPPING, "file"),
        (as_csv(ROWS), {"colours": ["Bowl 1"]}, "/tier"),
        (as_csv(ROWS), "{no json", "mapping"),
        (as_csv(ROWS), MAPPING | {"tier": "Stufe"}, "tier"),
        (as_csv(ROWS), MAPPING | {"ref": "E-mail"}, "ref"),
        (as_csv(ROWS), MAPPING | {"add_ons": {"rope": "Lids"}}, "add-on rope"),
        (as_csv(ROWS), MAPPING | {"wordings": {"colour": {"Gold": "gold"}}}, "/wordings/colour/Gold"),
        (as_csv(ROWS), MAPPING | {"wordings": {"country": {"Atlantis": "xx"}}}, "/wordings/country/Atlantis"),
    ],
)
def test_what_cannot_be_read_says_where(app: AppClient, plan_id: str, content: bytes, mapping: Any, where: str) -> None:
    """The field of the form or of the mapping, with a remedy."""
    answer = send(app, f"/v1/plans/{plan_id}/orders", content, mapping)
    assert answer.status_code == 422, answer.text
    found = [one for one in answer.json()["errors"] if one["pointer"] == where]
    assert found, answer.json()
    assert found[0]["remedy"]


def test_other_bodies_are_refused(app: AppClient, plan_id: str) -> None:
    """No form, a form without a file, a broken form, too much, another's plan."""
    path = f"/v1/plans/{plan_id}/orders"
    assert app.client.post(path, json={}).status_code == 415
    assert app.client.post(path, files={"mapping": (None, "{}")}).status_code == 422
    form = {"content-type": "multipart/form-data; boundary=x"}
    assert app.client.post(path, content=b"no form at all", headers=form).status_code in (400, 422)
    assert app.client.post(path, content=b"x", headers={"content-type": "multipart/form-data"}).status_code == 400
    assert send(app, "/v1/plans/0123456789abcdefghjkmnpqrs/orders", as_csv(ROWS), MAPPING).status_code == 404


def test_bytes_of_another_encoding_are_said_and_hide_nothing(app: AppClient, plan_id: str) -> None:
    """Two exports pasted into one file: a heading, remarks and a tier hold bytes that are not UTF-8. Every answer
    comes, with U+FFFD in their place; the rows that do not need them are taken."""
    whole = [
        ["A1", "one", "cream", "", "", "GB", "", "größer für Änne"],
        ["A2", "one", "slate", "", "", "Österreich", "", "auch für Käthe, größer"],
    ]
    text = "\n".join(";".join(row) for row in [[*HEADINGS[:-1], "Größe"], *whole, *ROWS[:1]])
    mixed = text.encode() + "\nB1;Größe;cream;;;GB;;ü\nB2;one;cream;;;GB;;ü".encode("latin-1")
    mixed = mixed.replace("Größe".encode(), b"Gr" + b"\xf6\xdfe", 1)
    seen = send(app, f"/v1/plans/{plan_id}/orders/columns", mixed)
    assert seen.status_code == 200
    assert "Gr\ufffd\ufffde" in seen.json()["columns"]
    read_ = send(app, f"/v1/plans/{plan_id}/orders", mixed, MAPPING)
    assert read_.status_code == 200
    refs = {line["ref"] for line in read_.json()["orders"] if "ref" in line}
    assert "B1" not in refs
    assert "Gr\ufffd\ufffde" in json.dumps(read_.json()["set_aside"], ensure_ascii=False)
    back = send(app, f"/v1/plans/{plan_id}/orders", mixed, MAPPING, accept="text/csv")
    assert back.status_code == 200
    assert "B1" in back.content.decode()


def test_a_table_is_read_in_a_place_of_its_workshop(
    app: AppClient, plan_id: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """So that whoever sends many leaves one to others (`Places`)."""
    owners: list[str] = []

    @contextmanager
    def noted(_places: Places, owner: str = "") -> Iterator[None]:
        owners.append(owner)
        yield

    monkeypatch.setattr(Places, "one", noted)
    assert send(app, f"/v1/plans/{plan_id}/orders/columns", as_csv(ROWS)).status_code == 200
    assert owners == [app.service.local_workshop]
