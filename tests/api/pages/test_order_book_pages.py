"""The order book: rows set aside stay, are put right on the page, and the next table is read alike."""

import csv
import html
import io
import re

from sqlalchemy import func, select

from planner.errors import Infeasible, Problem
from tests.api.pages.test_orders_pages import HEADINGS, TIER, USES, WAY, kept, look, step, table
from tests.api.plan_fixtures import publish, publish_pots
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan
from worker.records.tables import SetAside
from worker.solving.job import Hands
from worker.solving.plan import work_on_plan


def brought(app, plan_id, content, **fields):
    """A table brought in and planned, rows set aside left out; gives the plan's address."""
    file = kept(look(app, plan_id, content).text)
    answer = step(app, plan_id, kept=file, heading=HEADINGS, use=USES, do="plan", accept="yes", **fields)
    assert answer.status_code == 303, answer.text
    return answer.headers["location"]


def orders_of(app, address):
    """(reference, country) of the campaign's orders."""
    return [(o["ref"], o["country"]) for o in app.client.get(f"/v1{address}/campaign").json()["orders"]]


def hidden(text):
    """The hidden fields that say which rows the page shows."""
    return {name: re.search(f'name="{name}" value="([^"]*)"', text)[1] for name in ("import", "aside", "from")}


SPOILED = table(f"A1,{TIER},{WAY},GB,a@example.org", "A2,None such,,GB,b@example.org", f"A3,{TIER},{WAY},Nowhere,-")


def test_the_next_table_becomes_the_plans_next_revision(app):
    """Nothing else of the campaign changes, and the plan keeps its address."""
    plan_id = publish_pots(app.service)
    address = brought(app, plan_id, table(f"A1,{TIER},{WAY},GB,-"))
    assert address == f"/plans/{plan_id}"
    state = app.client.get(f"/v1{address}").json()
    assert (state["plan"]["revision"] if "revision" in state.get("plan", {}) else state["revision"]) == 2
    campaign = app.client.get(f"/v1{address}/campaign").json()
    assert campaign["planning"]["begin_from"]


def test_a_revision_that_could_not_be_planned_is_said_on_the_plan_before_it(app):
    """With why, in both languages; the plan before it looked as if nothing had been asked for."""
    plan_id = publish_pots(app.service)
    assert 'id="not-planned"' not in app.client.get(f"/plans/{plan_id}").text
    brought(app, plan_id, table(f"A1,{TIER},{WAY},GB,-"))
    assert "What was changed last is being planned" in app.client.get(f"/plans/{plan_id}/runs").text

    def none(campaign, control):
        raise Infeasible([Problem("/pieces/carton", "carton never arrives", "give it an arrival")])

    work_on_plan(Hands(app.service.database, app.service.settings, "w"), plan_id, none)
    shown = html.unescape(app.client.get(f"/plans/{plan_id}").text)
    assert "What was changed last is not planned: this is still the plan before it." in shown
    assert "No plan can be carried out as things stand." in shown
    assert "carton never arrives" in shown
    assert "Will I keep my promises?" in shown
    german = app.client.get(f"/plans/{plan_id}", headers={"Accept-Language": "de"}).text
    assert "Dies ist noch der Plan davor." in html.unescape(german)
    for leaf in ("runs", "paper", "buying", "parcels", "press", "promises", "purge", "what-if", "floor"):
        said = app.client.get(f"/plans/{plan_id}/{leaf}").text
        assert said.count("What was changed last is not planned: this is still the plan before it.") == 1, leaf


def test_rows_set_aside_are_counted_put_right_and_planned(app):
    """On the page, cell by cell; what still cannot be read stays; then all that are in are planned."""
    plan_id = publish_pots(app.service)
    brought(app, plan_id, SPOILED)
    shown = app.client.get(f"/plans/{plan_id}/orders/aside").text
    assert "None such" in html.unescape(shown)
    assert "example.org" not in shown
    cells = {"cell.0.0": "A2", "cell.0.1": TIER, "cell.0.2": WAY, "cell.0.3": "DE"}
    saved = app.client.post(f"/plans/{plan_id}/orders/aside", data=hidden(shown) | cells | {"do": "save"})
    assert "1 row can be planned now" in saved.text
    assert "Nowhere" in html.unescape(saved.text)
    assert "None such" not in html.unescape(saved.text)
    again = app.client.post(
        f"/plans/{plan_id}/orders/aside",
        data=hidden(saved.text) | {"cell.0.0": "A3", "cell.0.1": TIER, "cell.0.2": "", "cell.0.3": "NL", "do": "plan"},
        follow_redirects=False,
    )
    assert again.status_code == 303
    assert orders_of(app, again.headers["location"]) == [("A1", "GB"), ("A2", "DE"), ("A3", "NL")]
    assert "Row " not in app.client.get(f"/plans/{plan_id}/orders/aside").text


def test_two_people_at_the_rows_lose_nothing(app):
    """Whoever saves second is shown the rows as they stand."""
    plan_id = publish_pots(app.service)
    brought(app, plan_id, SPOILED)
    before = hidden(app.client.get(f"/plans/{plan_id}/orders/aside").text)
    cells = {"cell.0.0": "A2", "cell.0.1": TIER, "cell.0.2": WAY, "cell.0.3": "DE"}
    app.client.post(f"/plans/{plan_id}/orders/aside", data=before | cells | {"do": "save"})
    second = app.client.post(f"/plans/{plan_id}/orders/aside", data=before | cells | {"do": "save"})
    assert second.status_code == 409
    assert "Somebody put rows right meanwhile" in second.text


def test_rows_set_aside_come_back_as_a_table_and_on_top(app):
    """Downloaded with reasons, mended, brought again as further orders: a reference already in is not taken twice."""
    plan_id = publish_pots(app.service)
    brought(app, plan_id, SPOILED)
    rows = list(csv.DictReader(io.StringIO(app.client.get(f"/plans/{plan_id}/orders/aside.csv").text.lstrip("\ufeff"))))
    assert [row["Order no"] for row in rows] == ["A2", "A3"]
    assert all(row["Why set aside"] for row in rows)
    rows[0] |= {"Reward": TIER, "Colour": WAY}
    out = io.StringIO()
    writer = csv.DictWriter(out, rows[0])
    writer.writeheader()
    writer.writerows([*rows, rows[0] | {"Order no": "A1"}])
    seen = look(app, plan_id, out.getvalue())
    assert "is remembered" not in seen.text
    assert re.search(r'<option value="tier" selected>', seen.text)
    columns = [html.unescape(name) for name in re.findall(r'name="heading" value="([^"]*)"', seen.text)]
    uses = [dict(zip(HEADINGS, USES, strict=True)).get(name, "") for name in columns]
    added = step(app, plan_id, kept=kept(seen.text), heading=columns, use=uses, do="plan", accept="yes", mode="add")
    assert added.status_code == 303, added.text
    assert orders_of(app, added.headers["location"]) == [("A1", "GB"), ("A2", "GB")]
    left = app.client.get(f"/plans/{plan_id}/orders/aside").text
    assert "Nowhere" in html.unescape(left)
    assert "is the same as in row 2" in left


def test_the_next_table_is_read_alike_and_says_what_changes(app):
    """Words mean what they meant; what is new, gone, different, and why."""
    plan_id = publish_pots(app.service)
    first = table(f"A1,{TIER},{WAY},GB,-", f"A2,Thing,{WAY},GB,-", f"A3,{TIER},{WAY},GB,-", f"A5,{TIER},{WAY},GB,-")
    brought(app, plan_id, first, wordings=f"tier: Thing = {TIER}")
    second = table(f"A2,Thing,{WAY},DE,-", f"A3,{TIER},mauve,GB,-", f"A4,{TIER},{WAY},GB,-", f"A5,{TIER},{WAY},GB,-")
    seen = look(app, plan_id, second)
    assert f"tier: Thing = {TIER}" in html.unescape(seen.text)
    checked = step(app, plan_id, kept=kept(seen.text), heading=HEADINGS, use=USES, do="check",
                   wordings=f"tier: Thing = {TIER}")  # fmt: skip
    text = html.unescape(checked.text)
    assert "Different: A2: to DE instead of GB" in text
    assert "Gone: A1 not in the table any more" in text
    assert "Gone: A3 set aside now: 'mauve' is not a colourway" in text
    assert "New: A4" in text
    assert "<dt>orders as they were</dt><dd>1</dd>" in text


def begun(app):
    """A plan of three orders by number, the first of them packed."""
    pots = pot_campaign()
    line = next(line for line in pots.orders if line.tier == TIER)
    orders = [line.model_copy(update={"ref": f"A{n}", "count": 1, "country": "GB"}) for n in (1, 2, 3)]
    orders = [one.model_copy(update={"units": {product: [WAY] for product in one.units}}) for one in orders]
    plan_id = publish(app.service, pots.model_copy(update={"orders": orders}), pot_plan())
    packed = {"what": "packed", "order": "A1", "parcels": "1"}
    assert "Written down." in app.client.post(f"/plans/{plan_id}/log", data=packed).text
    return plan_id


def test_once_parcels_have_left_a_table_is_held_against_them(app):
    """What has left is not sent again, whatever the table says; the rest is planned from where the floor stands."""
    plan_id = begun(app)
    content = table(f"a1,{TIER},{WAY},DE,-", f"A3,{TIER},{WAY},GB,-", f"A4,{TIER},{WAY},GB,-")
    file = kept(look(app, plan_id, content).text)
    text = html.unescape(step(app, plan_id, kept=file, heading=HEADINGS, use=USES, do="check").text)
    assert "<strong>a1</strong> has left already and is not sent again" in text
    assert "<strong>A2</strong> is not sent: no row of the table counts for it" in text
    assert "<strong>A4</strong> is new" in text
    planned = step(app, plan_id, kept=file, heading=HEADINGS, use=USES, do="plan")
    assert planned.headers["location"] != f"/plans/{plan_id}"
    assert orders_of(app, planned.headers["location"]) == [("A3", "GB"), ("A4", "GB")]
    unnumbered = step(app, plan_id, kept=file, heading=HEADINGS, use=["", *USES[1:]], do="plan")
    assert unnumbered.status_code == 422
    assert "only an order number tells" in unnumbered.text


def test_a_parcel_that_did_not_arrive_goes_out_again(app):
    """Written down by its order number, it is sent again by the next table."""
    plan_id = begun(app)
    lost = {"what": "came-back", "back_order": "a1", "back_parcels": "1", "back_how": "again"}
    assert "Written down." in app.client.post(f"/plans/{plan_id}/log", data=lost).text
    wrong = app.client.post(f"/plans/{plan_id}/log", data=lost | {"back_order": "Z9"})
    assert wrong.status_code == 422
    assert 'id="back_order-problem"' in wrong.text
    content = table(f"A1,{TIER},{WAY},GB,-", f"A3,{TIER},{WAY},GB,-")
    file = kept(look(app, plan_id, content).text)
    planned = step(app, plan_id, kept=file, heading=HEADINGS, use=USES, do="plan")
    assert orders_of(app, planned.headers["location"]) == [("A1", "GB"), ("A3", "GB")]


def test_rows_are_forgotten_on_request(app):
    """One, or all that are left once the maker is sure; nothing of them stays in the records."""
    plan_id = publish_pots(app.service)
    brought(app, plan_id, SPOILED)
    here = f"/plans/{plan_id}/orders/aside"
    one = app.client.post(here, data=hidden(app.client.get(here).text) | {"forget": "0"})
    assert "1 row forgotten" in one.text
    assert "None such" not in html.unescape(one.text)
    unsure = app.client.post(here, data=hidden(one.text) | {"forget": "all"})
    assert "Nowhere" in html.unescape(unsure.text)
    all_of_them = app.client.post(here, data=hidden(unsure.text) | {"forget": "all", "sure": "yes"})
    assert "Nowhere" not in html.unescape(all_of_them.text)
    with app.service.database.read() as connection:
        assert connection.execute(select(func.count()).select_from(SetAside)).scalar_one() == 0
