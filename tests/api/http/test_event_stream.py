"""A stream of events: what follows in order, a sign of life only in silence, an end once all is told."""

import asyncio

import pytest

from api.http import event_stream
from api.http.event_stream import Happening


def told(looks: list[list[Happening]], seen: int = 0) -> list[str]:
    """What is sent where each look finds what is listed; the last list ends it."""

    async def all_of_it() -> list[str]:
        return [text async for text in event_stream._stream(lambda after: looks.pop(0), seen)]

    return asyncio.run(all_of_it())


def event(number: int, last: bool = False) -> Happening:
    return Happening(number, "done" if last else "progress", {"n": number}, 0.0, last)


@pytest.fixture(autouse=True)
def at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """It looks again at once."""
    monkeypatch.setattr(event_stream, "LOOK", 0.0)


def test_numbered_dated_and_over_once_nothing_follows_the_last() -> None:
    """The first text says after how long a client that lost it comes back, milliseconds."""
    sent = told([[event(1)], [], [event(2, last=True)], []])
    assert sent[0] == "retry: 1000\n\n"
    assert [text.split("\n")[0] for text in sent[1:]] == ["id: 1", "id: 2"]
    assert sent[1] == 'id: 1\nevent: progress\ndata: {"at": "1970-01-01T00:00:00+00:00", "n": 1}\n\n'


def test_what_follows_a_last_event_is_sent_too() -> None:
    """A plan that ended may be planned anew."""
    sent = told([[event(2, last=True)], [event(3)], [event(3)], [event(4, last=True)], []], seen=1)
    assert [text.split("\n")[0] for text in sent[1:]] == ["id: 2", "id: 3", "id: 4"]


@pytest.mark.parametrize(("silence", "signs"), [(-1.0, 2), (1000.0, 0)])
def test_a_sign_of_life_only_after_so_long_a_silence(
    monkeypatch: pytest.MonkeyPatch, silence: float, signs: int
) -> None:
    monkeypatch.setattr(event_stream, "STILL_HERE", silence)
    assert told([[], [], [event(1, last=True)], []]).count(": still here\n\n") == signs
