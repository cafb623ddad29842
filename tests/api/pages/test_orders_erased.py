"""What is kept of somebody's orders: given out whole, erased wherever it stands, what has left still counted."""

import html

from sqlalchemy import select

from api.services import orders
from tests.api.pages.test_order_book_pages import brought, hidden, orders_of
from tests.api.pages.test_orders_pages import HEADINGS, TIER, USES, WAY, kept, look, step, table
from tests.api.plan_fixtures import publish, publish_pots, waiting
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan
from worker.records.tables import Table

NUMBER, OTHER = "Shop-4711", "Shop-4712"


def numbered(app):
    """A plan of two orders by number, the first one packed, its number in a note too."""
    pots = pot_campaign()
    line = next(line for line in pots.orders if line.tier == TIER)
    units = {product: [WAY] for product in line.units}
    alike = {"count": 1, "country": "GB", "units": units}
    two = [line.model_copy(update=alike | {"ref": ref}) for ref in (NUMBER, OTHER)]
    plan_id = publish(app.service, pots.model_copy(update={"orders": two}), pot_plan())
    packed = [{"what": "packed", "at": "2027-03-01T10:00", "line": 0, "parcels": 1, "note": f"{NUMBER}: dented"}]
    sent = app.client.post(f"/v1/plans/{plan_id}/actuals", json={"entries": packed})
    assert sent.status_code == 201, sent.text
    return plan_id


def everywhere(app, words):
    """Tables of the records in whose rows the words stand, in any spelling."""
    with app.service.database.read() as connection:
        return {
            name
            for name, table in Table.metadata.tables.items()
            for row in connection.execute(select(table))
            if words.casefold() in repr(tuple(row)).casefold()
        }


def erased(app, plan_id, *numbers):
    return app.client.post(f"/v1/plans/{plan_id}/orders/erased", json={"orders": list(numbers)})


def test_all_that_is_kept_of_an_order_is_given_out(app):
    """Order line, log entry with its note; nothing of another order; in any spelling of the number."""
    plan_id = numbered(app)
    answer = app.client.get(f"/v1/plans/{plan_id}/orders/kept", params={"order": "shop 4711"})
    assert "attachment" in answer.headers["content-disposition"]
    told = answer.json()
    assert [(one["plans"], one["order"]["ref"]) for one in told["planned"]] == [([plan_id], NUMBER)]
    assert [one["entry"]["note"] for one in told["log"]] == [f"{NUMBER}: dented"]
    assert OTHER not in answer.text
    none = app.client.get(f"/v1/plans/{plan_id}/orders/kept", params={"order": "Shop-1"}).json()
    assert (none["planned"], none["log"], none["texts"]) == ([], [], [])


def test_erased_it_stands_nowhere_and_what_has_left_is_counted(app):
    """No row of any table holds the number; orders, parcels and the log are as many as before."""
    plan_id = numbered(app)
    before = app.client.get(f"/v1/plans/{plan_id}/campaign").json()["orders"]
    assert len(everywhere(app, NUMBER)) >= 2
    assert erased(app, plan_id, NUMBER).json()["orders"] == ["erased-1"]
    assert everywhere(app, NUMBER) == set()
    after = app.client.get(f"/v1/plans/{plan_id}/campaign").json()["orders"]
    assert after == [before[0] | {"ref": "erased-1"}, before[1]]
    (logged,) = app.client.get(f"/v1/plans/{plan_id}/actuals").json()["entries"]
    assert (logged["entry"]["parcels"], logged["entry"]["note"]) == (1, "erased-1: dented")
    left = orders.orders_left(app.service, app.service.local_workshop, plan_id)
    assert [line.ref for line in left.values()] == ["erased-1"]
    assert erased(app, plan_id, NUMBER).status_code == 404


def test_a_later_table_sends_an_erased_order_no_second_time(app):
    """Its row is known again, said as having left, and the number is not kept again."""
    plan_id = numbered(app)
    erased(app, plan_id, NUMBER)
    content = table(f"{NUMBER.upper()},{TIER},{WAY},DE,-", f"{OTHER},{TIER},{WAY},GB,-")
    file = kept(look(app, plan_id, content).text)
    text = html.unescape(step(app, plan_id, kept=file, heading=HEADINGS, use=USES, do="check").text)
    assert "<strong>erased-1</strong> has left already and is not sent again" in text
    planned = step(app, plan_id, kept=file, heading=HEADINGS, use=USES, do="plan", accept="yes")
    assert orders_of(app, planned.headers["location"]) == [(OTHER, "GB")]
    assert everywhere(app, NUMBER) == set()


def test_an_erased_order_stays_one_order_before_anything_has_left(app):
    """Its row set aside goes whole; typed again it is known, and a further table with it adds none."""
    plan_id = publish_pots(app.service)
    rows = (f"{NUMBER},{TIER},{WAY},GB,-", f"{OTHER},None such,,GB,-", f"A-300,{TIER},{WAY},Nowhere,-")
    brought(app, plan_id, table(*rows))
    busy = erased(app, plan_id, OTHER)
    assert (busy.status_code, "being made" in busy.text) == (409, True)
    app.client.post(f"/v1/plans/{plan_id}/stop")
    with app.service.database.write() as connection:
        connection.exec_driver_sql("update plans set status = 'cancelled'")
    page = app.client.post(f"/plans/{plan_id}/orders/kept", data={"numbers": OTHER, "do": "erase", "sure": "yes"})
    assert "erased-1" in page.text
    erased(app, plan_id, NUMBER)
    assert everywhere(app, "Shop-47") == set()
    shown = app.client.get(f"/plans/{plan_id}/orders/aside").text
    assert "None such" not in html.unescape(shown)
    again = {"cell.0.0": NUMBER, "cell.0.1": TIER, "cell.0.2": WAY, "cell.0.3": "GB", "do": "save"}
    saved = html.unescape(app.client.post(f"/plans/{plan_id}/orders/aside", data=hidden(shown) | again).text)
    assert "its number was erased on request" in saved
    assert NUMBER not in saved


def test_another_campaign_made_from_the_same_document_keeps_its_own(app):
    """Two plans of one stored document: the other one's orders are not this campaign's."""
    plan_id = numbered(app)
    document = app.client.get(f"/v1/plans/{plan_id}/campaign").text
    beside = waiting(app.service, document, "another job")
    assert erased(app, plan_id, NUMBER, OTHER).json()["orders"] == ["erased-1", "erased-2"]
    assert [ref for ref, _ in orders_of(app, f"/plans/{beside}")] == [NUMBER, OTHER]


def test_a_number_that_could_be_anything_is_not_sought_in_sentences(app):
    """`12` in a note may be shots: whoever erases is told to look; being sure is asked for on the page."""
    plan_id = publish_pots(app.service)
    brought(app, plan_id, table(f"12,{TIER},{WAY},GB,-"))
    with app.service.database.write() as connection:
        connection.exec_driver_sql("update plans set status = 'done'")
    page = f"/plans/{plan_id}/orders/kept"
    unsure = app.client.post(page, data={"numbers": "12", "do": "erase"})
    assert (unsure.status_code, "Tick that you are sure" in unsure.text) == (422, True)
    file = app.client.post(page, data={"numbers": "12", "do": "file"})
    assert file.json()["not_looked_for"] == ["12"]
    assert erased(app, plan_id, "12").json()["look_yourself"] == ["12"]
    assert app.client.post(page, data={"numbers": " , -", "do": "look"}).status_code == 404
