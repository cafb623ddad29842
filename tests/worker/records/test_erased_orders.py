"""A campaign document put in another's place: the old one stays for as long as a plan is made from it."""

from sqlalchemy import select

from worker.records import erased_orders, workshops
from worker.records.erased_orders import OfCampaign
from worker.records.submitting import Submission, submit
from worker.records.tables import Campaign, Plan


def test_the_old_document_goes_with_its_last_plan(database):
    """Two moulding campaigns of one document: put in its place in one, it is still the other's."""
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        made = (submit(connection, workshop, Submission("old", "t", 5.0, "small"), 0.0) for _ in range(2))
        campaigns = [select(Plan.moulding_campaign_id).where(Plan.id == plan.id) for plan in made]
        of = [OfCampaign(workshop, connection.execute(one).scalar_one()) for one in campaigns]
        ((old, document),) = erased_orders.campaigns(connection, of[0])
        assert (document, erased_orders.campaigns(connection, of[1])) == ("old", [(old, "old")])
        documents = []
        for one in of:
            erased_orders.put_campaign(connection, one, old, "new", 1.0)
            documents.append(sorted(connection.execute(select(Campaign.document)).scalars()))
            assert [text for _, text in erased_orders.campaigns(connection, one)] == ["new"]
    assert documents == [["new", "old"], ["new"]]
