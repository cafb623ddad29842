"""What has had its time goes, by itself and only that."""

from sqlalchemy import func, insert, select, update

from api.serving.logs import trim
from worker.records import events as told
from worker.records import retention, sessions, webhook_outbox, workshops
from worker.records.keys import make
from worker.records.submitting import Submission, submit
from worker.records.tables import Delivery, Event, Plan, Revision, Session, Workshop

NOW = 1_000.0 * retention.DAY


def count(connection, table) -> int:
    return connection.execute(select(func.count()).select_from(table)).scalar_one()


def test_old_messages_sessions_and_events_go_and_young_ones_stay(database) -> None:
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        webhook = webhook_outbox.add_webhook(connection, workshop, "https://192.31.196.1/", "derived:x", 0.0)
        for name, made, due in (("old", 0.0, None), ("waits", 0.0, NOW), ("young", NOW - 1, None)):
            connection.execute(
                insert(Delivery).values(
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
        assert set(connection.execute(select(Delivery.id)).scalars()) == {"waits", "young"}
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


def test_a_log_that_grew_too_large_begins_anew(tmp_path) -> None:
    """While somebody appends to it."""
    file = tmp_path / "api.log"
    with file.open("ab", buffering=0) as writing:
        writing.write(b"x" * 300)
        assert trim(tmp_path, largest=200) == ["api.log"]
        writing.write(b"next\n")
    assert file.read_bytes() == b"next\n"
    assert (tmp_path / "api.log.1").stat().st_size == 300
    assert trim(tmp_path, largest=200) == []
