"""Parsed plans are kept by what they weigh, and parsed once however many ask at a time."""

import gc
import threading
import time
import weakref

from api.services import published
from api.services.published import A_LINE, IDLE, MOST_PICTURES, PARSED, AtHand, Published, settle
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan

PLAN = pot_plan().model_dump_json(by_alias=True)
CAMPAIGN = pot_campaign().model_dump_json(by_alias=True)
ONE = PARSED * (len(PLAN) + len(CAMPAIGN))
"""Bytes of memory that a plan is counted as."""


class Shelf:
    """Says how often it was asked for the documents; so many that ask at once are given time to."""

    def __init__(self, most: int, at_once: int = 1) -> None:
        self.asked, self.now, self.at_once = 0, 0.0, at_once
        self.kept = AtHand(most, lambda: self.now)

    def documents(self) -> tuple[str, str]:
        self.asked += 1
        until = time.monotonic() + 0.05
        while self.asked < self.at_once and time.monotonic() < until:
            time.sleep(0.001)
        return PLAN, CAMPAIGN

    def read(self, name: str) -> None:
        self.kept.get((name, 1), self.documents)


def test_as_many_plans_stay_as_their_bytes_allow() -> None:
    """Small plans by the dozen, large ones few: what goes is what nobody asked for the longest."""
    shelf = Shelf(3 * ONE)
    for name in "abcabc":
        shelf.read(name)
    assert shelf.asked == 3
    shelf.read("d")  # a goes
    for name in "bcd":
        shelf.read(name)
    assert shelf.asked == 4
    shelf.read("a")
    assert shelf.asked == 5


def test_one_larger_than_all_that_may_be_kept_stays_until_the_next() -> None:
    shelf = Shelf(1)
    for name in "aab":
        shelf.read(name)
    assert shelf.asked == 2


def test_many_who_ask_at_once_have_it_parsed_once() -> None:
    shelf = Shelf(3 * ONE, at_once=8)
    threads = [threading.Thread(target=shelf.read, args=("a",)) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert shelf.asked == 1


def test_a_plan_that_cannot_be_had_is_asked_for_anew() -> None:
    """A failure is nobody's answer but its own."""
    kept, asked = AtHand(), []

    def gone() -> tuple[str, str]:
        asked.append(1)
        raise LookupError

    for _ in range(2):
        try:
            kept.get(("a", 1), gone)
        except LookupError:
            continue
    assert len(asked) == 2


def test_what_nobody_asked_for_in_a_while_goes() -> None:
    """So memory is that of the plans people look at now, not of all they ever looked at."""
    shelf = Shelf(10 * ONE)
    shelf.read("a")
    shelf.read("b")
    shelf.now = IDLE - 1
    shelf.read("b")
    shelf.now = IDLE + 1
    shelf.read("c")  # a goes, b was asked for
    assert shelf.asked == 3
    shelf.read("b")
    assert shelf.asked == 3
    shelf.read("a")
    assert shelf.asked == 4


def test_a_picture_is_drawn_once_for_what_it_shows() -> None:
    """As long as its plan is at hand, and no more than a few of each."""
    shelf, drawn = Shelf(3 * ONE), []

    def draw(key: int) -> str:
        _, _, pictures, _ = shelf.kept.get(("a", 1), shelf.documents)
        shown = Published(None, 1, None, None, pictures)  # type: ignore[arg-type]  # only its pictures are asked for
        return shown.picture(key, lambda: drawn.append(key) or f"picture {key}")  # type: ignore[func-returns-value]

    assert [draw(key) for key in (1, 2, 1, 2)] == ["picture 1", "picture 2"] * 2
    assert drawn == [1, 2]
    for key in range(3, 10):
        draw(key)
    _, _, pictures, _ = shelf.kept.get(("a", 1), shelf.documents)
    assert len(pictures) <= MOST_PICTURES


def test_a_list_is_worked_out_once_and_its_lines_count() -> None:
    """So that plans with long lists of what they need take no more than plans without."""
    shelf, worked = Shelf(3 * ONE), []
    for name in "abc":
        shelf.read(name)

    def listed(key: str, lines: int) -> int:
        _, _, pictures, lists = shelf.kept.get(("c", 1), shelf.documents)
        shown = Published(None, 1, None, None, pictures, lists)  # type: ignore[arg-type]  # only its lists are asked for
        return len(shown.listed(key, lambda: worked.append(key) or ["x"] * lines))  # type: ignore[func-returns-value]

    assert [listed("log", 3), listed("log", 5), listed("longer log", 5)] == [3, 3, 5]
    assert worked == ["log", "longer log"]
    listed("longest log", ONE // A_LINE)
    assert shelf.asked == 3
    shelf.read("c")  # a goes
    shelf.read("b")
    assert shelf.asked == 3
    shelf.read("a")
    assert shelf.asked == 4


def test_pictures_count_as_much_as_they_weigh() -> None:
    """So that many plans with large pictures take no more than plans without."""
    shelf = Shelf(3 * ONE)
    for name in "abc":
        shelf.read(name)
    _, _, pictures, _ = shelf.kept.get(("c", 1), shelf.documents)
    pictures["large"] = "x" * ONE
    shelf.read("c")  # a goes
    shelf.read("b")
    assert shelf.asked == 3
    shelf.read("a")
    assert shelf.asked == 4


class Ring:
    """Refers to itself, as a request under way may."""

    def __init__(self) -> None:
        self.itself = self


def test_what_was_frozen_under_way_is_freed_in_the_end(monkeypatch) -> None:
    """A plan that is put at hand takes everything out of the collector's rounds, also what other requests hold."""
    ring = Ring()
    left = weakref.ref(ring)
    try:
        settle()
        del ring
        gc.collect()
        assert left() is not None, "frozen: no round of the collector looks at it"
        monkeypatch.setattr(published, "_looked_through", time.monotonic() - published.STALE - 1)
        settle()
        assert left() is None
    finally:
        gc.unfreeze()
