"""Several campaigns on one floor where people look: the plan's page, paper, workbook lists, API document, the shell."""

from api.command.readable import readable
from api.exports.plan_lists import plan_lists
from api.paper.setting import written
from api.paper.writing import write_paper
from api.pictures.colours import swatches
from examples.situations import campaign_of, plan_of
from tests.api.plan_fixtures import publish

PLANS = {}


def planned(name="two-campaigns"):
    if name not in PLANS:
        PLANS[name] = plan_of(name)
    return campaign_of(name), PLANS[name]


def test_the_page_tells_them_apart_and_what_is_shared(app):
    campaign, plan = planned()
    plan_id = publish(app.service, campaign, plan)
    page = app.client.get(f"/plans/{plan_id}").text
    assert "Each campaign apart" in page
    for one in plan.campaigns:
        assert f"{one.campaign}, line by line" in page
    assert "<small>Pots 2026</small>" in page, "a tier of another campaign says whose it is"
    told = app.client.get(f"/v1/plans/{plan_id}").json()["plan"]
    assert [one["campaign"] for one in told["campaigns"]] == ["Trays", "Pots 2026"]


def test_a_plan_of_one_campaign_says_nothing_of_it(app):
    plan_id = publish(app.service, *planned("spares"))
    assert "Each campaign apart" not in app.client.get(f"/plans/{plan_id}").text


def test_paper_workbook_and_shell_have_the_same_figures():
    campaign, plan = planned()
    paper = written(write_paper(plan, campaign, 1, "https://shop.example/plans/1"), swatches(campaign.colours))
    assert [row[0] for row in paper["campaigns"]] == ["Trays", "Pots 2026"]
    assert [row[4] for row in paper["campaigns"]] == [f"{one.total:,.2f}" for one in plan.campaigns]
    lists = {name: list(rows) for name, (_, rows) in plan_lists(campaign, plan).items()}
    assert [(row[0], row[7], row[8]) for row in lists["Campaigns"]] == [
        (one.campaign, one.total, one.shared) for one in plan.campaigns
    ]
    lines = sum(row[2] for row in lists["Cost by campaign"])
    assert abs(lines - plan.outcome.total) < 0.01
    assert {row[2] for row in lists["Material by campaign"]} == {"pp", "sage", "cream", "leaflet"}
    assert "Each campaign apart" in readable(plan)
    assert "Each campaign apart" not in readable(planned("spares")[1])
