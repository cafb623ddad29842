"""Updates that are kept: the history says so in words that are nobody's own language."""

import re
from datetime import date

import pytest
from sqlalchemy import select

from api.languages.reading import Reader, begin
from api.services import updates
from planner.promise.update import TierNews, Update
from tests.api.inline_worker import made
from tests.api.plan_fixtures import publish_pots
from tests.api.slips.test_what_if_api import CAMPAIGN, SHOTS
from worker.records.tables import HistoryEntry


@pytest.mark.parametrize("reader", [Reader(), Reader(language="de", locale="de"), Reader(locale="en_US")])
def test_who_sends_an_update_decides_nothing_for_who_reads_of_it(app, reader):
    """A day that was written down as one reader writes days is no day to the next, and is not translated."""
    plan_id = publish_pots(app.service)
    workshop = app.service.local_workshop
    news = TierNews(tier="one", parcels=3, packed=1, promised=None, day=date(2027, 3, 7), before=None, why="")
    update = Update(
        title="pots", as_of=date(2027, 1, 11), confidence=0.9, replications=100, tiers=[news], changes=[]
    )  # fmt: skip
    begin(reader)
    updates.keep(app.service, workshop, plan_id, update)
    begin(Reader())
    with app.service.database.read() as connection:
        said = connection.execute(select(HistoryEntry.what).where(HistoryEntry.plan_id == plan_id)).scalars().all()
    assert "sent an update: one: Sun 7 Mar 2027" in said
    [kept] = updates.sent(app.service, workshop, plan_id)
    assert kept.update == update


def test_the_update_says_by_itself_what_changed_and_why(app, inline_worker):
    """Kept, then the floor is logged and planned again: the child's update says what happened since, by the records,
    how far the date moved, and no date that is not the simulation's."""
    plan = made(app, app.client.post("/v1/plans", json=CAMPAIGN).json()["id"])
    path = f"/v1/plans/{plan['id']}"
    wish = {"floors": 100, "as_of": "2027-01-05"}
    first = app.client.post(f"{path}/update", json=wish).json()
    assert first["changes"] == []
    news = {"what": "tool", "at": "2027-01-05T08:00", "tool": "b", "ready": "2027-01-18"}
    app.client.post(f"{path}/actuals", json={"entries": [SHOTS, news]})
    child = made(app, app.client.post(f"{path}/plan-again", json={"as_of": "2027-01-05T12:00"}).json()["plan"]["id"])
    asked = wish | {"changes": ["thank you for waiting"], "keep": False}
    second = app.client.post(f"/v1/plans/{child['id']}/update", json=asked).json()
    assert second["changes"] == [
        "the mould for b comes 14 days later than planned", "moulded: 290 a",
        "the rest was planned again from where things stood", "thank you for waiting",
    ]  # fmt: skip
    [tier] = second["tiers"]
    assert tier["before"] == first["tiers"][0]["day"] < tier["day"]
    text = app.client.post(f"/v1/plans/{child['id']}/update", json=asked, headers={"Accept": "text/markdown"}).text
    dates = set(re.findall(r"\d+ (?:January|February) 2027", text))
    assert dates == {said(day) for day in ("2027-01-05", tier["promised"], tier["before"], tier["day"])}
    promised = app.client.post(f"/v1/plans/{child['id']}/promise", json={"floors": 100}).json()
    assert promised["tiers"][0]["announce"] == tier["day"]


def said(day):
    return f"{date.fromisoformat(day).day} {date.fromisoformat(day):%B %Y}"
