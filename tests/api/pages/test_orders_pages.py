"""Orders from a spreadsheet: columns proposed on a sample, checked, planned, nothing lost on the way."""

import csv
import html
import io
import json
import re

import openpyxl

from tests.api.plan_fixtures import publish_pots
from tests.support.pot_campaign import pot_campaign

CAMPAIGN = pot_campaign()
TIER = next(name for name, tier in CAMPAIGN.tiers.items() if sum(tier.units.values()) == 1)
PRODUCT = next(iter(CAMPAIGN.tiers[TIER].units))
WAY = next(iter(CAMPAIGN.products[PRODUCT].colourways))


def table(*rows: str) -> str:
    return "\n".join(["Order no,Reward,Colour,Country,E-mail", *rows]) + "\n"


def step(app, plan_id, **fields):
    return app.client.post(
        f"/plans/{plan_id}/orders",
        files=[(name, (None, value)) for name, values in fields.items()
               for value in (values if isinstance(values, list) else [values])],
        follow_redirects=False,
    )  # fmt: skip


def kept(text: str) -> str:
    return re.search(r'name="kept" value="([^"]*)"', text)[1]


def look(app, plan_id, content: str):
    files = {"file": ("orders.csv", content, "text/csv"), "do": (None, "look")}
    return app.client.post(f"/plans/{plan_id}/orders", files=files)


HEADINGS = ["Order no", "Reward", "Colour", "Country"]
USES = ["ref", "tier", "colour", "country"]


def test_columns_are_proposed_on_a_sample_and_personal_ones_left_alone(app):
    """The tier's column is found by its cells; an e-mail never comes back."""
    plan_id = publish_pots(app.service)
    answer = look(app, plan_id, table(f"A1,{TIER},{WAY},GB,someone@example.org"))
    assert answer.status_code == 200
    assert re.search(r'<option value="tier" selected>', answer.text)
    assert "someone@example.org" not in answer.text
    assert "E-mail" in answer.text


def test_a_checked_table_becomes_a_plan_with_its_orders(app):
    """Look, check, plan: the new campaign has the table's orders and all else of the old one."""
    plan_id = publish_pots(app.service)
    content = table(f"A1,{TIER},{WAY},GB,a@example.org", f"A2,{TIER},{WAY},DE,b@example.org")
    file = kept(look(app, plan_id, content).text)
    checked = step(app, plan_id, kept=file, heading=HEADINGS, use=USES, do="check")
    assert checked.status_code == 200
    assert "Plan with these orders" in checked.text
    planned = step(app, plan_id, kept=file, heading=HEADINGS, use=USES, do="plan")
    assert planned.status_code == 303
    new = app.client.get(f"/v1{planned.headers['location']}/campaign").json()
    assert [(line["ref"], line["country"]) for line in new["orders"]] == [("A1", "GB"), ("A2", "DE")]
    assert new["tools"].keys() == CAMPAIGN.tools.keys()


def test_rows_set_aside_hold_the_plan_until_they_are_accepted(app):
    """A row that cannot be read is shown with its reason; the plan waits for a word; the file is still there."""
    plan_id = publish_pots(app.service)
    content = table(f"A1,{TIER},{WAY},GB,a@example.org", f"A2,{TIER},no-such-colour,GB,b@example.org")
    file = kept(look(app, plan_id, content).text)
    held = step(app, plan_id, kept=file, heading=HEADINGS, use=USES, do="plan")
    assert held.status_code == 422
    assert "no-such-colour" in held.text
    assert kept(held.text) == file
    accepted = step(app, plan_id, kept=file, heading=HEADINGS, use=USES, do="plan", accept="yes")
    assert accepted.status_code == 303


def test_a_mapping_without_a_tier_says_so_and_keeps_the_rest(app):
    """What was chosen is still chosen."""
    plan_id = publish_pots(app.service)
    file = kept(look(app, plan_id, table(f"A1,{TIER},{WAY},GB,a@example.org")).text)
    answer = step(app, plan_id, kept=file, heading=HEADINGS, use=["ref", "", "colour", "country"],
                  do="check", country_otherwise="gb", wordings="Pot = nothing")  # fmt: skip
    assert answer.status_code == 422
    assert "no column says the tier" in answer.text
    assert 'value="GB"' in answer.text
    assert "Pot = nothing" in answer.text


def test_a_file_that_is_none_says_what_to_do(app):
    """An empty file, an old workbook: reason and remedy beside the field."""
    plan_id = publish_pots(app.service)
    old = {"file": ("o.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600, "application/vnd.ms-excel")}
    answer = app.client.post(f"/plans/{plan_id}/orders", files=old)
    assert answer.status_code == 422
    assert "save it as .xlsx" in answer.text


def test_choices_still_open_are_told_and_their_spares_made(app):
    """The rule, what it plans, and spare units that go into the campaign the orders make."""
    plan_id = publish_pots(app.service)
    rows = [f"A{n},{TIER},{WAY if n % 3 else ''},GB,a@example.org" for n in range(90)]
    file = kept(look(app, plan_id, table(*rows)).text)
    checked = step(app, plan_id, kept=file, heading=HEADINGS, use=USES, do="check")
    assert f"shares of the 60 units answered in tier {TIER}" in checked.text
    assert f"<td>30 {WAY}</td><td>2 {WAY}</td>" in checked.text
    planned = step(app, plan_id, kept=file, heading=HEADINGS, use=USES, do="plan")
    new = app.client.get(f"/v1{planned.headers['location']}/campaign").json()
    assert new["products"][PRODUCT]["spare_units"] == {WAY: 2}
    assert sum(line["count"] for line in new["orders"]) == 90


def test_one_colour_for_a_pair_is_asked_about_and_remembered(app):
    """Which of the two is meant is never guessed: the second unit is open until the maker says."""
    plan_id = publish_pots(app.service)
    file = kept(look(app, plan_id, table(f"A1,pair,{WAY},GB,a@example.org", f"A2,{TIER},{WAY},GB,")).text)
    checked = step(app, plan_id, kept=file, heading=HEADINGS, use=USES, do="check").text
    assert "Of 1 order the row names one colour" in checked
    planned = step(app, plan_id, kept=file, heading=HEADINGS, use=USES, one_colour="all", do="plan")
    new = planned.headers["location"]
    assert app.client.get(f"/v1{new}/campaign").json()["orders"][0]["units"] == {PRODUCT: [WAY, WAY]}
    again = look(app, new.rpartition("/")[2], table(f"A3,pair,{WAY},GB,"))
    assert re.search(r'name="one_colour" value="all" checked', again.text)


STATUS_HEADINGS = ["Order no", "Reward", "Colour", "Country", "Stands"]
STATUS_USES = ["ref", "tier", "colour", "country", "status"]


def with_status(*rows: str) -> str:
    return "\n".join(["Order no,Reward,Colour,Country,Stands", *rows]) + "\n"


def test_refunded_orders_are_never_planned(app):
    """Values of the status are asked for one by one; a refund cannot be made to count."""
    plan_id = publish_pots(app.service)
    content = with_status(f"A1,{TIER},{WAY},GB,held", f"A2,{TIER},{WAY},GB,refunded", f"A3,{TIER},{WAY},GB,paid")
    seen = look(app, plan_id, content).text
    assert "Which of these are orders?" in seen
    said = {"status_value": ["held", "refunded", "paid"], "status_use": ["counts", "not", "counts"]}
    planned = step(app, plan_id, kept=kept(seen), heading=STATUS_HEADINGS, use=STATUS_USES, do="plan", accept="yes",
                   **said)  # fmt: skip
    new = app.client.get(f"/v1{planned.headers['location']}/campaign").json()
    assert [line["ref"] for line in new["orders"]] == ["A1", "A3"]
    wrong = said | {"status_use": ["counts", "counts", "counts"]}
    refused = step(app, plan_id, kept=kept(seen), heading=STATUS_HEADINGS, use=STATUS_USES, do="plan", **wrong)
    assert refused.status_code == 422
    assert "can never count as an order" in refused.text


def test_did_you_mean_is_a_button(app):
    """Pressed, the word means that in all rows; others are chosen from a list."""
    plan_id = publish_pots(app.service)
    wrong = WAY + "x"
    file = kept(look(app, plan_id, table(f"A1,{TIER},{wrong},GB,a@example.org", f"A2,Thing,{WAY},GB,-")).text)
    checked = step(app, plan_id, kept=file, heading=HEADINGS, use=USES, do="check").text
    assert f"Did you mean {WAY}?" in checked
    pressed = html.unescape(re.search(r'name="mean" value="([^"]*)"', checked)[1])
    chosen = json.dumps(["tier", "Thing", TIER])
    mended = step(app, plan_id, kept=file, heading=HEADINGS, use=USES, mean=pressed, means=["", chosen])
    assert mended.status_code == 200
    assert f"colour: {wrong} = {WAY}" in html.unescape(mended.text)
    assert "<dt>orders to plan</dt><dd>2</dd>" in mended.text


def test_the_heading_row_can_be_chosen_and_rows_set_aside_downloaded(app):
    """Row 3 holds the headings; what comes back is the maker's own table with a reason beside each row."""
    plan_id = publish_pots(app.service)
    content = "Our orders,,,,\nfor May,,,,\n" + table(f"A1,{TIER},{WAY},GB,a@example.org", "A2,none,,GB,b@example.org")
    seen = look(app, plan_id, content)
    assert 'name="heading_row" value="3"' in seen.text
    fields = {"kept": kept(seen.text), "heading": HEADINGS, "use": USES, "heading_row": "3"}
    given = step(app, plan_id, do="download", **fields)
    assert given.headers["content-type"].startswith("text/csv")
    rows = list(csv.DictReader(io.StringIO(given.text.removeprefix("\ufeff"))))
    assert [(row["Order no"], row["E-mail"], row["Row in the table"]) for row in rows] == [("A2", "b@example.org", "5")]
    other = step(app, plan_id, do="look", **fields | {"heading_row": "4"})
    assert '<label for="use-1">A1</label>' in other.text
    wrong = step(app, plan_id, do="check", **fields | {"heading_row": "x"})
    assert "is no row number" in wrong.text


def test_another_sheet_has_its_own_heading_row(app):
    """Of a workbook that begins with a sheet of words, the one with orders is read; the row of its headings is not
    looked for in another sheet."""
    plan_id = publish_pots(app.service)
    book = openpyxl.Workbook()
    book.active.append(["Our orders"])
    book.active.append(["see the other sheet"])
    orders = book.create_sheet("Orders")
    for row in (["Everything, exported in May"], [], HEADINGS, ["A1", TIER, WAY, "GB"]):
        orders.append(row)
    out = io.BytesIO()
    book.save(out)
    files = {"file": ("orders.xlsx", out.getvalue()), "do": (None, "look")}
    first = app.client.post(f"/plans/{plan_id}/orders", files=files).text
    sent = {name: re.search(f'name="{name}" value="([^"]*)"', first)[1]
            for name in ("kept", "sheet_before", "heading_row", "heading_row_before")}  # fmt: skip
    assert (sent["sheet_before"], sent["heading_row"]) == ("Orders", "3")
    assert '<label for="use-2">Reward</label>' in first
    other = step(app, plan_id, do="look", sheet=book.sheetnames[0], **sent).text
    assert 'name="heading_row" value="1"' in other
    typed = step(app, plan_id, do="look", sheet="Orders", **sent | {"heading_row": "4"}).text
    assert '<label for="use-1">A1</label>' in typed
