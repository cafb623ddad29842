"""What is typed and not sent: each page, plan and workshop has its own."""

from worker.records import drafts, workshops
from worker.records.drafts import Place
from worker.records.submitting import Submission, submit


def test_a_draft_is_found_where_it_was_typed(database):
    willow, alder = (workshops.ensure(database, name, 0.0) for name in ("willow", "alder"))
    with database.write() as connection:
        plan = submit(connection, willow, Submission("{}", "t", 5.0, "small"), 0.0).id
        places = [
            Place(willow, "form"),
            Place(willow, "change", plan),
            Place(willow, "form", plan),
            Place(alder, "form"),
        ]
        for n, place in enumerate(places):
            drafts.begin(connection, place, {"n": n}, "ana", 100.0 + n)
        for n, place in enumerate(places):
            assert [row.content for row in drafts.at(connection, place)] == [{"n": n}]
        newer = drafts.begin(connection, places[0], {"n": 9}, "ben", 200.0)
        assert [row.content["n"] for row in drafts.at(connection, places[0])] == [9, 0], "the newest first"
        assert drafts.find(connection, alder, newer.id) is None
        assert drafts.change(connection, willow, (newer.id, 1), {"n": 10}, "ana", 210.0)
        assert not drafts.change(connection, willow, (newer.id, 1), {"n": 11}, "ben", 220.0), "seen in an older edition"


def test_the_oldest_go_where_there_are_too_many(database, monkeypatch):
    monkeypatch.setattr(drafts, "MOST", 3)
    here = Place(workshops.ensure(database, "willow", 0.0), "form")
    with database.write() as connection:
        for n in range(5):
            drafts.begin(connection, here, {"n": n}, "ana", float(n))
        assert [row.content["n"] for row in drafts.at(connection, here)] == [4, 3, 2]
