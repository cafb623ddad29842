"""What has had its time goes, by itself and only that."""

import pytest
from sqlalchemy import func, insert, select, update

from api.serving.logs import trim
from worker.queue import keeping
from worker.records import drafts, kept, order_imports, retention, sessions, shared_links, webhook_outbox, workshops
from worker.records import events as told
from worker.records.keys import make
from worker.records.retention import Ages
from worker.records.shared_links import LinkRow
from worker.records.submitting import Submission, submit
from worker.records.tables import Event, OrderImport, OutboxMessage, Plan, Revision, Session, SetAside, Workshop
from worker.settings import Settings

NOW = 1_000.0 * retention.DAY


def count(connection, table) -> int:
    return connection.execute(select(func.count()).select_from(table)).scalar_one()


def test_old_messages_sessions_and_events_go_and_young_ones_stay(database) -> None:
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        webhook = webhook_outbox.add_webhook(connection, workshop, "https://192.31.196.1/", "derived:x", 0.0)
        for name, made, due in (("old", 0.0, None), ("waits", 0.0, NOW), ("young", NOW - 1, None)):
            connection.execute(
                insert(OutboxMessage).values(
                    id=name, webhook_id=webhook, body="{}", tries=1, next_try_at=due, created_at=made
                )
            )
        key_id, _ = make(connection, workshop, "x", ("read",), 0.0, None)
        sessions.begin(connection, key_id, NOW - 2 * sessions.LASTS)
        connection.execute(update(Session).values(ends_at=NOW - 1))
        plans = [submit(connection, workshop, Submission("{}", "t", 5.0, "small"), 0.0).id for _ in range(3)]
        for plan, ended in zip(plans, (0.0, NOW - 1, None), strict=True):
            for n in range(5):
                told.append(connection, "plan", plan, "progress", {"n": n}, 1.0)
            connection.execute(update(Plan).where(Plan.id == plan).values(finished_at=ended))
        before = count(connection, Event)
        removed = retention.remove_old(connection, NOW)
        assert (removed.deliveries, removed.sessions) == (1, 1)
        assert "1 deliveries" in removed.said
        assert set(connection.execute(select(OutboxMessage.id)).scalars()) == {"waits", "young"}
        assert before - count(connection, Event) == removed.events > 0
        left = connection.execute(select(Event.number).where(Event.plan_id == plans[0])).scalars().all()
        last = connection.execute(select(Plan.last_event).where(Plan.id == plans[0])).scalar_one()
        assert left == [last], "how it ended stays"
        assert count(connection, Plan) == 3
        again = retention.remove_old(connection, NOW)
        assert again.said == "", "done; nothing is removed twice"


def test_old_revisions_go_but_never_the_newest(database) -> None:
    """And the workshop's bytes are given back."""
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        plan = submit(connection, workshop, Submission("{}", "t", 5.0, "small"), 0.0).id
        campaign = connection.execute(select(Plan.campaign_id)).scalar_one()
        for number in range(1, 16):
            connection.execute(
                insert(Revision).values(
                    plan_id=plan, number=number, campaign_id=campaign, document="x" * 100, solve_seconds=1.0,
                    ended_because="budget", made_at=float(number),
                )
            )  # fmt: skip
        connection.execute(update(Workshop).values(stored_bytes=Workshop.stored_bytes + 1500))
        before = connection.execute(select(Workshop.stored_bytes)).scalar_one()
        assert retention.remove_old(connection, NOW).revisions == 5
        numbers = connection.execute(select(Revision.number).order_by(Revision.number)).scalars().all()
        assert numbers == list(range(6, 16))
        assert connection.execute(select(Workshop.stored_bytes)).scalar_one() == before - 500
        assert retention.remove_old(connection, NOW).revisions == 0


def test_drafts_and_links_go_by_their_age(database) -> None:
    """Typed half a year ago, and a link that ended three months ago; a day younger each stays."""
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        plan = submit(connection, workshop, Submission("{}", "t", 5.0, "small"), 0.0).id
        for age in (181, 179):
            drafts.begin(connection, drafts.Place(workshop, "form"), {"age": age}, "me", NOW - age * retention.DAY)
        for age in (91, 89):
            ended = NOW - age * retention.DAY
            shared_links.make(connection, workshop, LinkRow(f"link{age}", plan, "read", "x", "me", ended - 9, ended))
        removed = retention.remove_old(connection, NOW)
        assert (removed.drafts, removed.links) == (1, 1)
        assert [row.content for row in drafts.at(connection, drafts.Place(workshop, "form"))] == [{"age": 179}]
        assert [row.id for row in shared_links.of_plan(connection, workshop, plan)] == ["link89"]


def test_rows_of_orders_set_aside_go_a_year_after_their_table(database) -> None:
    """Brought a year and a day ago; a day younger stays, and so do the lines that were taken."""
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        for age in (366, 364):
            plan = submit(connection, workshop, Submission("{}", "t", 5.0, "small"), 0.0)
            brought = NOW - age * retention.DAY
            aside = [(1, "why", {"age": age})]
            campaign = plan.moulding_campaign_id
            order_imports.keep(connection, workshop, campaign, "t.csv", {}, [{"ref": "A1"}], aside, brought)
        before = connection.execute(select(Workshop.stored_bytes)).scalar_one()
        assert retention.remove_old(connection, NOW).asides == 1
        assert connection.execute(select(SetAside.row)).scalars().all() == ['{"age": 364}']
        assert connection.execute(select(Workshop.stored_bytes)).scalar_one() == before - len('{"age": 366}')
        lines = connection.execute(select(OrderImport.lines)).scalars().all()
        assert lines == ['[{"ref": "A1"}]'] * 2


def test_workers_count_once_in_half_an_hour(database) -> None:
    """Several workers keep: what another has just counted is not counted again, later it is."""
    workshops.ensure(database, "willow", 0.0)
    for now in (NOW, NOW + 60, NOW + keeping.EVERY):
        keeping.keep(database, Ages(), now)
        with database.read() as connection:
            counted = {row.measured_at for row in kept.written_down(connection)}
        assert counted == {NOW if now < NOW + 1000 else now}


def add_messages(connection, webhook: str, named: dict[str, tuple[float, float | None]]) -> None:
    """name -> (made, due next)."""
    for name, (made, due) in named.items():
        connection.execute(
            insert(OutboxMessage).values(
                id=name, webhook_id=webhook, body="x" * 100, tries=1, next_try_at=due, created_at=made
            )
        )


def test_what_takes_too_much_room_goes_oldest_first(database) -> None:
    """Though it is young; what waits to be sent, and how plans ended, stay."""
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        webhook = webhook_outbox.add_webhook(connection, workshop, "https://192.31.196.1/", "derived:x", 0.0)
        add_messages(connection, webhook, {f"{n}": (NOW - 10 + n, None) for n in range(5)} | {"due": (NOW - 20, NOW)})
        plans = [submit(connection, workshop, Submission("{}", "t", 5.0, "small"), 0.0).id for _ in range(60)]
        for n, plan in enumerate(plans):
            told.append(connection, "plan", plan, "progress", {"n": "x" * 1000}, NOW)
            told.append(connection, "plan", plan, "done", {}, NOW)
            ended = None if n == 0 else NOW - n
            connection.execute(update(Plan).where(Plan.id == plan).values(finished_at=ended))
    keeping.keep(database, Ages(most_bytes=350), NOW)
    with database.read() as connection:
        assert set(connection.execute(select(OutboxMessage.id)).scalars()) == {"3", "4", "due"}
        left = connection.execute(select(Event.plan_id, func.count()).group_by(Event.plan_id)).all()
    assert sorted(many for _, many in left) == [1] * 59 + [3], "one that is being made keeps everything"


@pytest.mark.parametrize(("over", "gone"), [(-1, 0), (0, 0), (1, 1), (100, 1), (101, 2)])
def test_as_many_messages_go_as_are_too_many_and_none_more(database, over, gone) -> None:
    """Of three of a hundred bytes: none while they have room to the byte, one from the first byte too many on."""
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        webhook = webhook_outbox.add_webhook(connection, workshop, "https://192.31.196.1/", "derived:x", 0.0)
        add_messages(connection, webhook, {f"{n}": (NOW - 10 + n, None) for n in range(3)})
        connection.execute(update(OutboxMessage).values(body="x" * 100))
        bytes_of = {"deliveries": 300, "events": 0}
        removed = retention.remove_too_much(connection, bytes_of, Ages(most_bytes=300 - over))
        assert removed == retention.Removed(deliveries=gone)
        assert bytes_of["deliveries"] == 300 - 100 * gone
        left = list(connection.execute(select(OutboxMessage.id).order_by(OutboxMessage.id)).scalars())
    assert left == ["0", "1", "2"][gone:]


def test_of_a_receiver_that_never_answers_the_newest_messages_wait(database, monkeypatch) -> None:
    monkeypatch.setattr(retention, "WAITING_OF_A_WEBHOOK", 3)
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        dead, other = (
            webhook_outbox.add_webhook(connection, workshop, "https://192.31.196.1/", "derived:x", 0.0) for _ in "ab"
        )
        add_messages(connection, dead, {f"dead {n}": (float(n), NOW) for n in range(5)})
        add_messages(connection, other, {"other": (0.0, NOW)})
    keeping.keep(database, Ages(), NOW - 1)
    with database.read() as connection:
        waiting = connection.execute(select(OutboxMessage.id).where(OutboxMessage.next_try_at.is_not(None))).scalars()
        assert set(waiting) == {"dead 2", "dead 3", "dead 4", "other"}


def test_old_revisions_take_half_of_a_workshops_bytes_at_most(database) -> None:
    """The oldest go first, never a plan's newest; another workshop's stay."""
    small, other = (workshops.ensure(database, name, 0.0) for name in ("willow", "ash"))
    with database.write() as connection:
        for workshop in (small, other):
            for _ in range(2):
                plan = submit(connection, workshop, Submission("{}", "t", 5.0, "small"), 0.0)
                campaign = connection.execute(select(Plan.campaign_id).where(Plan.id == plan.id)).scalar_one()
                for number in range(1, 5):
                    connection.execute(
                        insert(Revision).values(
                            plan_id=plan.id, number=number, campaign_id=campaign, document="x" * 100,
                            solve_seconds=1.0, ended_because="budget", made_at=NOW + number,
                        )
                    )  # fmt: skip
        connection.execute(update(Workshop).where(Workshop.id == small).values(max_bytes=500))
    assert keeping.keep(database, Ages(), NOW).revisions == 4
    with database.read() as connection:
        left = connection.execute(
            select(Plan.workshop_id, Revision.number).join(Plan, Plan.id == Revision.plan_id).order_by(Revision.number)
        ).all()
    assert [number for workshop, number in left if workshop == small] == [3, 3, 4, 4]
    assert [number for workshop, number in left if workshop == other] == [1, 1, 2, 2, 3, 3, 4, 4]


def test_how_much_there_is_and_how_much_went_is_written_down(database) -> None:
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        webhook = webhook_outbox.add_webhook(connection, workshop, "https://192.31.196.1/", "derived:x", 0.0)
        add_messages(connection, webhook, {"old": (0.0, None), "young": (NOW - 5, None)})
    keeping.keep(database, Ages(), NOW)
    with database.read() as connection:
        rows = {row.kind: row for row in kept.written_down(connection)}
    told_of = rows["deliveries"]
    assert (told_of.rows, told_of.bytes, told_of.oldest_at, told_of.removed) == (1, 100, NOW - 5, 1)
    assert {kind for kind, row in rows.items() if row.removed} == {"deliveries"}
    assert set(rows) == {"deliveries", "events", "revisions", "answers", "sessions", "drafts", "links", "asides"}
    later = NOW + 40 * retention.DAY
    keeping.keep(database, Ages(), later)
    with database.read() as connection:
        told_of = next(row for row in kept.written_down(connection) if row.kind == "deliveries")
    assert (told_of.rows, told_of.oldest_at, told_of.removed, told_of.measured_at) == (0, None, 2, later)


def test_ages_are_settings() -> None:
    named = {"SHOT_TO_SHIP_KEEP_EVENTS_DAYS": "2", "SHOT_TO_SHIP_KEEP_BYTES": "2000000"}
    ages = Ages.said_by(Settings.from_environment(named))
    assert (ages.events, ages.most_bytes, ages.deliveries) == (2 * retention.DAY, 2_000_000, 30 * retention.DAY)


def test_a_log_that_grew_too_large_begins_anew(tmp_path) -> None:
    """While somebody appends to it."""
    file = tmp_path / "api.log"
    with file.open("ab", buffering=0) as writing:
        writing.write(b"x" * 200)
        assert trim(tmp_path, largest=200) == [], "as much as may be is not too much"
        writing.write(b"x" * 100)
        assert trim(tmp_path, largest=200) == ["api.log"]
        writing.write(b"next\n")
    assert file.read_bytes() == b"next\n"
    assert (tmp_path / "api.log.1").stat().st_size == 300
    assert trim(tmp_path, largest=200) == []
