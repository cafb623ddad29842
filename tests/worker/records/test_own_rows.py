"""What is done to one plan, study, campaign, key or draft touches nothing of another: neither of another workshop nor
of the same one. Each change is made among three alike, and every row that is another one afterwards must be its own.

On SQLite: which rows a statement takes does not hang on the database.
"""

import json
import shutil
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from sqlalchemy import Connection, select

from planner.studies.parts import Split, Subquestion
from worker.records import (
    changing,
    claiming,
    drafts,
    ending,
    erased_orders,
    floor_log,
    history,
    keys,
    moulding_campaigns,
    order_imports,
    plan_claims,
    purge_log,
    reading,
    sessions,
    shared_links,
    studies,
    webhook_outbox,
    workshops,
)
from worker.records.claiming import Claimant
from worker.records.database import Database
from worker.records.drafts import Place
from worker.records.erased_orders import OfCampaign
from worker.records.history import ChangeRow
from worker.records.plan_claims import PLANS, Published
from worker.records.shared_links import LinkRow
from worker.records.studies import Question
from worker.records.submitting import Submission, submit
from worker.records.tables import Plan, Table

RESULT = Published('{"a": 1}', cost=10.0, bound=9.0, gap=0.1, ended_because="proven", solve_seconds=1.0)
SPLIT = Split({}, [Subquestion({"n": 0}, 2), Subquestion({"n": 1}, 2), Subquestion({}, None)])
NOW = 100.0


@dataclass(frozen=True)
class Side:
    """What one of three has: ids of each, secrets of key, session and link."""

    workshop: str
    plan: str
    queued: str
    campaign: str
    study: str
    key: str
    session: str
    link: str
    guest: str
    draft: str
    entry: str
    purged: str
    upload: str
    webhook: str

    @property
    def of(self) -> OfCampaign:
        return OfCampaign(self.workshop, self.campaign)

    @property
    def own(self) -> set[str]:
        """All by which a row of it can be told, but for the workshop, which two of the three share."""
        secrets = {self.session, self.guest}
        return ({*vars(self).values()} - {self.workshop} - secrets - {""}) | {keys.hashed(one) for one in secrets}


def made(database: Database, workshop: str, name: str) -> Side:
    """A plan that is done, with everything beside it; and one that waits."""
    with database.write() as connection:
        done, queued = (
            submit(connection, workshop, Submission(json.dumps({"name": name + end}), name, 5.0, "small"), NOW).id
            for end in (" done", " queued")
        )
        mine = claiming.claim(connection, PLANS, done, Claimant("w", 10.0, 3), NOW)
        assert mine is not None
        assert plan_claims.publish(connection, mine, RESULT, NOW)
        campaign = connection.execute(select(Plan.moulding_campaign_id).where(Plan.id == done)).scalar_one()
        assert campaign is not None
        study = studies.submit(connection, workshop, Question(done, 1, "slip-table", {"x": name}, "small"), SPLIT, NOW)
        key, _ = keys.make(connection, workshop, name, ("read",), NOW)
        link = LinkRow(f"link{name}", done, "read", name, "me", NOW, NOW + 1000)
        floor_log.append(connection, workshop, done, [{"what": "note"}], NOW)
        floor_log.keep_update(connection, workshop, done, '{"u": 1}', NOW)
        erased_orders.add(connection, OfCampaign(workshop, campaign), "d" * 64, NOW)
        history.add(connection, workshop, done, "me", "made", NOW)
        return Side(
            workshop, done, queued, campaign, study, key, sessions.begin(connection, key, NOW), link.id,
            shared_links.make(connection, workshop, link),
            drafts.begin(connection, Place(workshop, "update", done), {"a": name}, "me", NOW).id,
            floor_log.entries(connection, workshop, done)[0].id,
            purge_log.add(connection, workshop, '{"kg": 1}', NOW).id,
            order_imports.keep(connection, workshop, campaign, "a.csv", {"s": 1}, [1, 2], [(3, "why", {"k": 1})], NOW),
            "",
        )  # fmt: skip


@pytest.fixture(scope="module")
def kept(empty_records: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[Side]]:
    """Records of three alike: two of one workshop, one of another."""
    file = tmp_path_factory.mktemp("own") / "records.sqlite"
    shutil.copyfile(empty_records, file)
    database = Database(f"sqlite:///{file}")
    willow, alder = (workshops.ensure(database, name, 0.0) for name in ("willow", "alder"))
    sides = [made(database, workshop, name) for workshop, name in ((willow, "one"), (willow, "two"), (alder, "three"))]
    with database.write() as connection:  # last, so that none is told of another one's plan beforehand
        for n, side in enumerate(sides):
            added = webhook_outbox.add_webhook(connection, side.workshop, f"https://{n}.example", "mark", NOW)
            sides[n] = replace(side, webhook=added)
    database.close()
    return file, sides


def told(connection: Connection, side: Side) -> None:
    """Its webhook hears that its plan was cancelled."""
    ending.cancel(connection, "plan", side.queued, NOW)
    message = webhook_outbox.take(connection, side.webhook, NOW, 9.0)
    assert message is not None
    webhook_outbox.tell(connection, message.id, "200", None)
    webhook_outbox.tell_receiver(connection, message, "200", NOW + 1, None)


Act = Callable[[Connection, Side], object]
ACTS: dict[str, Act] = {
    "plan retitled": lambda c, s: changing.retitle(c, s.plan, "new"),
    "plan anew": lambda c, s: changing.plan_anew(c, s.workshop, s.plan, '{"name": "other"}', 5.0, "small", NOW),
    "plan removed": lambda c, s: changing.remove(c, s.plan),
    "plan claimed": lambda c, s: claiming.claim(c, PLANS, s.queued, Claimant("w", 10.0, 3), NOW),
    "plan stopped": lambda c, s: ending.request_stop(c, "plan", s.queued, NOW),
    "plan cancelled": lambda c, s: ending.cancel(c, "plan", s.queued, NOW),
    "plan failed": lambda c, s: ending.fail(c, "plan", s.queued, "fault", [], NOW),
    "study stopped": lambda c, s: ending.request_stop(c, "study", s.study, NOW),
    "study cancelled": lambda c, s: ending.cancel(c, "study", s.study, NOW),
    "study removed": lambda c, s: studies.remove(c, s.study),
    "campaign renamed": lambda c, s: moulding_campaigns.rename(c, s.workshop, s.campaign, "new"),
    "campaign put away": lambda c, s: moulding_campaigns.archive(c, s.workshop, s.campaign, NOW),
    "campaign deleted": lambda c, s: moulding_campaigns.delete(c, s.workshop, s.campaign, NOW),
    "campaign deleted for good": lambda c, s: moulding_campaigns.delete_for_good(c, s.workshop, s.campaign),
    "key revoked": lambda c, s: keys.revoke(c, s.key, NOW + 1, s.workshop),
    "key rotated": lambda c, s: keys.rotate(c, s.key, NOW + 1, s.workshop),
    "signed out": lambda c, s: sessions.end(c, s.session),
    "link revoked": lambda c, s: shared_links.revoke(c, s.workshop, s.plan, s.link, NOW + 1),
    "link opened": lambda c, s: shared_links.opened(c, s.link, NOW + 1),
    "draft changed": lambda c, s: drafts.change(c, s.workshop, (s.draft, 1), {"a": "new"}, "me", NOW + 1),
    "draft removed": lambda c, s: drafts.remove(c, s.workshop, s.draft),
    "log written": lambda c, s: floor_log.append(c, s.workshop, s.plan, [{"what": "more"}], NOW + 1),
    "log struck": lambda c, s: floor_log.strike(c, s.workshop, s.plan, s.entry),
    "update kept": lambda c, s: floor_log.keep_update(c, s.workshop, s.plan, '{"u": 2}', NOW + 1),
    "purge corrected": lambda c, s: purge_log.rewrite(c, s.workshop, s.purged, '{"kg": 2}'),
    "orders changed": lambda c, s: order_imports.change(c, s.workshop, s.upload, [9], [(4, "x", {})], NOW + 1),
    "orders brought": lambda c, s: order_imports.keep(c, s.workshop, s.campaign, "b.csv", {}, [7], [], NOW + 1),
    "order erased": lambda c, s: erased_orders.add(c, s.of, "e" * 64, NOW + 1),
    "history written": lambda c, s: history.add(c, s.workshop, s.plan, "me", "changed", NOW + 1),
    "history of a campaign": lambda c, s: history.add_to_campaign(
        c, s.workshop, s.campaign, ChangeRow(None, "me", "archived", NOW + 1)
    ),
    "webhook removed": lambda c, s: webhook_outbox.remove_webhook(c, s.workshop, s.webhook),
    "webhook told": lambda c, s: told(c, s),
    "webhook's secret": lambda c, s: webhook_outbox.keep_secret(c, s.webhook, "mark", "other"),
}


def rows(connection: Connection) -> dict[str, set[tuple[object, ...]]]:
    """Every row of every table."""
    tables = Table.metadata.tables.items()
    return {name: {tuple(row) for row in connection.execute(select(table))} for name, table in tables}


OF_ALL = {"workshops", "counters", "campaigns"}
"""Tables of which a row may belong to several: a workshop's sizes, what is counted, documents of several plans."""


def speaks_of(row: tuple[object, ...], ids: set[str]) -> bool:
    """Also in what is told in words."""
    text = "\n".join(map(str, row))
    return any(one in text for one in ids)


@pytest.mark.parametrize("act", ACTS)
def test_only_its_own_rows_are_changed(kept, tmp_path, act):
    """And some are."""
    whole, sides = kept
    file = tmp_path / "records.sqlite"
    shutil.copyfile(whole, file)
    database = Database(f"sqlite:///{file}")
    first, *others = sides
    strange = set().union(*(other.own for other in others)) | {others[1].workshop}
    strange -= {others[0].webhook}  # of the same workshop: it is told of both plans
    with database.write() as connection:
        before = rows(connection)
        ACTS[act](connection, first)
        after = rows(connection)
    database.close()
    gone = [(name, row) for name in before for row in before[name] - after[name]]
    new = [(name, row) for name in before for row in after[name] - before[name]]
    assert gone or new
    assert not [(name, row) for name, row in gone + new if speaks_of(row, strange)]
    assert not [(name, row) for name, row in gone if name not in OF_ALL and not speaks_of(row, first.own)]
    assert not [
        (name, row) for name, row in new if name != "counters" and not speaks_of(row, {*first.own, first.workshop})
    ]


READ: dict[str, Act] = {
    "log": lambda c, s: [one.id for one in floor_log.entries(c, s.workshop, s.plan)] == [s.entry],
    "updates": lambda c, s: len(floor_log.updates(c, s.workshop, s.plan)) == 1,
    "drafts": lambda c, s: [one.id for one in drafts.at(c, Place(s.workshop, "update", s.plan))] == [s.draft],
    "links": lambda c, s: [one.id for one in shared_links.of_plan(c, s.workshop, s.plan)] == [s.link],
    "guest": lambda c, s: (guest := shared_links.guest_of(c, s.guest, NOW)) and guest.link.id == s.link,
    "session": lambda c, s: (holder := sessions.holder_of(c, s.session, NOW)) and holder.key_id == s.key,
    "erased": lambda c, s: erased_orders.known(c, s.of) == {"d" * 64: 1},
    "history": lambda c, s: [one.what for one in history.of_campaign(c, s.workshop, s.campaign, 9)] == ["made"],
    "orders": lambda c, s: (one := order_imports.newest(c, s.workshop, s.campaign)) and one.id == s.upload,
    "set aside": lambda c, s: [one.row_number for one in order_imports.set_aside(c, s.workshop, s.upload)] == [3],
    "counted aside": lambda c, s: order_imports.counted_aside(c, s.workshop, s.campaign) == 1,
    "plan": lambda c, s: (one := reading.find(c, s.workshop, s.plan)) and one.id == s.plan,
    "revisions": lambda c, s: [one.number for one in reading.revisions(c, s.plan)] == [1],
    "document": lambda c, s: reading.newest_document(c, s.plan) == (1, '{"a": 1}'),
    "line": lambda c, s: list(reading.line_of(c, s.workshop, s.plan)) == [s.plan],
    "of campaign": lambda c, s: s.plan in [p.id for p in reading.of_campaigns(c, s.workshop, [s.campaign])[s.campaign]],
    "campaign": lambda c, s: (one := moulding_campaigns.find(c, s.workshop, s.campaign)) and one.id == s.campaign,
    "study": lambda c, s: (one := studies.find(c, s.workshop, s.study)) and one.id == s.study,
    "purge": lambda c, s: (one := purge_log.find(c, s.workshop, s.purged)) and one.id == s.purged,
    "webhooks": lambda c, s: s.webhook in [one.id for one in webhook_outbox.list_webhooks(c, s.workshop)],
}
UNASKED = {"guest", "session", "revisions", "document"}
"""What is found by a secret, or by a plan that was looked up before."""


@pytest.mark.parametrize("read", READ)
def test_each_reads_its_own_and_no_other_workshop_does(kept, read):
    """One of three alike; with another workshop's name there is nothing."""
    file, sides = kept
    database = Database(f"sqlite:///{file}")
    with database.read() as connection:
        for side in sides:
            assert READ[read](connection, side)
            if read not in UNASKED:
                other = next(one.workshop for one in sides if one.workshop != side.workshop)
                stranger = Side(**vars(side) | {"workshop": other})
                assert not _found(READ[read], connection, stranger)
    database.close()


def _found(read: Act, connection: Connection, side: Side) -> object:
    try:
        return read(connection, side)
    except (KeyError, IndexError):
        return None
