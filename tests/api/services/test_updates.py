"""Updates that are kept: the history says so in words that are nobody's own language."""

from datetime import date

import pytest
from sqlalchemy import select

from api.languages.reading import Reader, begin
from api.services import updates
from planner.promise.update import TierNews, Update
from tests.api.plan_fixtures import publish_pots
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
