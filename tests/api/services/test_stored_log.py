"""The purge log as questions take it: a barrel's own entries, oldest first, the newest that many."""

from api.services import stored_log
from worker.records import workshops

LOG = "/v1/purge/log"
ENTRY = {"press": "twin", "from": "pp/slate", "to": "pp/sage", "on": "2026-11-17"}


def test_entries_of_the_barrel_asked_for(app, monkeypatch):
    """All where none is asked for; the other barrel's and the other press's are not its own."""
    whose = [("twin", 1), ("twin", 2), ("solo", 1), ("twin", 1)]
    for n, (press, barrel) in enumerate(whose):
        answer = app.client.post(LOG, json=ENTRY | {"press": press, "barrel": barrel, "kg": n + 1.0})
        assert answer.status_code == 201, answer.text
    workshop = workshops.ensure(app.service.database, workshops.LOCAL, 0.0)

    def kg(*of: str | int) -> list[float | None]:
        return [kept.entry.kg for kept in stored_log.logged_in(app.service, workshop, *of)]

    assert kg() == [1.0, 2.0, 3.0, 4.0]
    assert kg("twin", 1) == [1.0, 4.0]
    assert kg("twin", 2) == [2.0]
    assert kg("solo", 1) == [3.0]
    assert kg("solo", 2) == kg("other", 1) == []
    monkeypatch.setattr(stored_log, "NEWEST", 1)
    assert (kg(), kg("twin", 1)) == ([4.0], [4.0])
