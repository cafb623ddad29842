"""Progress of a plan on a terminal's line, in figures as they are; and how a watch ends."""

from types import SimpleNamespace

import pytest

from api.command import watching


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({}, f"[{'.' * 24}]   0%"),
        ({"share": None, "phase": "search"}, f"[{'.' * 24}]   0%  search"),
        ({"share": 0.25, "phase": "proof"}, f"[{'#' * 6}{'.' * 18}]  25%  proof"),
        ({"share": 1.0, "cost": 12.5}, f"[{'#' * 24}] 100%              cost 12.50"),
        ({"cost": 0.0, "bound": 0.0, "gap": 0.0}, f"[{'.' * 24}]   0%              cost 0.00  at least 0.00  gap 0.0%"),
        ({"gap": 0.1234}, f"[{'.' * 24}]   0%              gap 12.3%"),
    ],
)
def test_what_is_known_stands_in_the_line(data, said):
    """Nought is a figure; what is not known is left out."""
    assert watching._line(data).rstrip() == said


@pytest.mark.parametrize("end", ["done", "failed", "cancelled"])
def test_a_watch_ends_with_the_plan(capsys, monkeypatch, end):
    """Not with what happens before; lines of progress no more often than every so many seconds; reasons are told."""
    clock = iter([10.0, 10.0, 11.0, 13.5, 13.5])
    monkeypatch.setattr(watching.time, "monotonic", lambda: next(clock))
    told = [("queued", {}), *[("progress", {"share": share}) for share in (0.0, 0.1, 1.0)]]
    told += [(end, {"problems": [{"pointer": "/tools", "message": "none", "remedy": "say one"}]}), ("never", {})]
    client = SimpleNamespace(events=lambda plan: iter(told))
    assert watching.watch(client, "p") == end
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[-1] for line in lines[:4]] == ["queued", "0%", "100%", end]
    assert ("none" in "".join(lines[4:])) == (end == "failed")


def test_where_the_stream_ends_early_the_plan_is_asked_for():
    client = SimpleNamespace(events=lambda plan: iter([]), plan=lambda plan: {"status": "running"})
    assert watching.watch(client, "p") == "running"


def test_a_study_is_looked_at_until_it_is_over(monkeypatch):
    """Queued and running are not over; a look later it is."""
    waited: list[float] = []
    monkeypatch.setattr(watching.time, "sleep", waited.append)
    states = iter([{"status": name} for name in ("queued", "running", "done", "never")])
    client = SimpleNamespace(study_state=lambda study: next(states))
    assert [one["status"] for one in watching.study_states(client, "s")] == ["queued", "running", "done"]
    assert waited == [0.5, 0.5]
