"""Parcels of orders that go out in parts, on the page and in the lists."""

from api.exports.plan_lists import plan_lists
from planner.control import Unhurried
from planner.planning.make import make_plan
from tests.api.plan_fixtures import publish
from tests.support.split_campaign import campaign


def test_split_orders_are_told_on_the_page_and_in_the_lists(app):
    """Which part a batch is, by when first and last parts leave, the postage, and the other choice."""
    sets = campaign()
    plan = make_plan(sets, Unhurried())
    plan_id = publish(app.service, sets, plan)
    page = app.client.get(f"/plans/{plan_id}/parcels").text
    assert "part 2 of 2" in page
    assert "61 extra parcels, 152.50" in page
    assert "Whole, with the same runs, the plan would cost" in page
    lists = {name: (list(headings), [dict(zip(headings, row, strict=True)) for row in rows])
             for name, (headings, rows) in plan_lists(sets, plan).items()}  # fmt: skip
    tier = next(row for row in lists["Tiers"][1] if row["Tier"] == "set")
    assert (tier["Extra parcels"], tier["Extra postage EUR"]) == (61, 152.5)
    assert tier["First parts gone"] < tier["Last parts gone"]
    assert {row["Part of the order"] for row in lists["Manifest"][1]} == {"1 of 1", "1 of 2", "2 of 2"}
    assert {row["Part of the order"] for row in lists["Pack-out"][1]} == {"1 of 1", "1 of 2", "2 of 2"}


def test_the_paper_page_leads_to_the_labels(app):
    """By pick-up and as a list; every address answers."""
    sets = campaign()
    plan = make_plan(sets, Unhurried())
    plan_id = publish(app.service, sets, plan)
    page = app.client.get(f"/plans/{plan_id}/paper").text
    assert f'action="/v1/plans/{plan_id}/labels.pdf"' in page
    for dispatch in plan.dispatches:
        assert f'<option value="{dispatch.id}">' in page
        address = f"/v1/plans/{plan_id}/labels.pdf?dispatch={dispatch.id}&size=a4&text="
    assert app.client.get(address).headers["content-type"] == "application/pdf"
    for name in ("labels.csv", "lists/packing-list.csv"):
        assert f'href="/v1/plans/{plan_id}/{name}"' in page
        assert app.client.get(f"/v1/plans/{plan_id}/{name}").status_code == 200
