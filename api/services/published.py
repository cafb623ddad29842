"""A published run plan with the campaign it was made from, kept at hand for the next picture of it."""

import gc
import time
from collections import OrderedDict
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, field
from threading import Lock
from typing import Any, TypeVar

from api.service import Service
from api.service.refusals import Conflict, NotFound
from api.services.finding import find_plan
from planner.campaign import Campaign
from planner.plan import RunPlan
from planner.reading import kept
from worker.records import reading
from worker.records.reading import PlanRow

Listed = TypeVar("Listed")
Kept = TypeVar("Kept")
MOST_PICTURES = 4
"""Of one plan that are kept; the large one of 200 runs is a third of a megabyte."""
MOST_LISTS = 2
"""Of one plan that are kept: of the log as it is, and of the one before while somebody still asks by it."""
A_LINE = 800
"""Bytes of memory that a line of a list takes, rather more than less."""
IDLE = 600.0
"""Seconds after which a plan nobody asked for goes, also where there is room."""
PARSED = 13
"""Bytes of memory that a byte of a plan's and its campaign's documents takes once parsed (measured: 8 to 13)."""
KEPT_BYTES = 300 * 2**20
"""Of memory for the plans at hand and what was drawn of them: a dozen of large campaigns, hundreds of small ones."""
STALE = 600.0
"""Seconds between two looks through what was taken out of the collector's rounds."""


@dataclass(frozen=True)
class Published:
    """A run plan somebody published, and its campaign. revision: which one of the plan's."""

    row: PlanRow
    revision: int
    plan: RunPlan
    campaign: Campaign
    pictures: dict[Hashable, str] = field(default_factory=dict, repr=False)
    lists: dict[Hashable, Sequence[Any]] = field(default_factory=dict, repr=False)

    def picture(self, key: Hashable, draw: Callable[[], str]) -> str:
        """What `draw` gives, drawn once: key says all that it depends on beside the plan, who reads it too.

        It goes with the plan."""
        return _once(self.pictures, MOST_PICTURES, key, draw)

    def listed(self, key: Hashable, work_out: Callable[[], Sequence[Listed]]) -> Sequence[Listed]:
        """What `work_out` gives, worked out once, as with pictures. Nobody changes it."""
        return _once(self.lists, MOST_LISTS, key, work_out)


def _once(known: dict[Hashable, Kept], most: int, key: Hashable, make: Callable[[], Kept]) -> Kept:
    """What `make` gives, made once for each key; where `most` are kept already, those go first."""
    made = known.get(key)
    if made is None:
        made = make()
        if len(known) >= most:
            known.clear()
        known[key] = made
    return made


Both = tuple[RunPlan, Campaign, dict[Hashable, str], dict[Hashable, Sequence[Any]]]


@dataclass
class _Entry:
    """A plan at hand. documents: bytes of both. asked: when it was asked for last. counted: bytes it was counted as."""

    both: Both
    documents: int
    asked: float
    counted: int = 0

    def bytes(self) -> int:
        drawn, listed = (sum(map(len, list(kept.values()))) for kept in self.both[2:])
        return PARSED * self.documents + drawn + A_LINE * listed


class AtHand:
    """The plans asked for last, already parsed. A published revision never changes. most: bytes of memory."""

    def __init__(self, most: int = KEPT_BYTES, clock: Callable[[], float] = time.monotonic) -> None:
        self._most, self._bytes, self._clock = most, 0, clock
        self._lock, self._kept = Lock(), OrderedDict[tuple[str, int], _Entry]()
        self._making: dict[tuple[str, int], Lock] = {}

    def get(self, key: tuple[str, int], documents: Callable[[], tuple[str, str]]) -> Both:
        """The plan of that id and revision with its campaign; whoever asks first parses it, the others wait for that.

        documents: gives both as JSON text.
        """
        with self._lock:
            if (found := self._find(key)) is not None:
                return found
            making = self._making.setdefault(key, Lock())
        with making:
            with self._lock:
                if (found := self._find(key)) is not None:
                    return found
            try:
                plan, campaign = documents()
                both = (
                    RunPlan.model_validate_json(plan),
                    kept(campaign),
                    dict[Hashable, str](),
                    dict[Hashable, Sequence[Any]](),
                )
                self._keep(key, both, len(plan) + len(campaign))
            finally:
                with self._lock:
                    self._making.pop(key, None)
        return both

    def _find(self, key: tuple[str, int]) -> Both | None:
        entry = self._kept.get(key)
        if entry is None:
            return None
        entry.asked = self._clock()
        self._kept.move_to_end(key)
        self._make_room(entry)  # pictures may have been drawn since
        return entry.both

    def _keep(self, key: tuple[str, int], both: Both, size: int) -> None:
        with self._lock:
            entry = self._kept[key] = _Entry(both, size, self._clock())
            self._make_room(entry)
        if size >= _LARGE:
            settle()

    def _make_room(self, newest: _Entry) -> None:
        """Count the newest anew. It stays, however large: whoever asked for it asks for its pictures next."""
        counted = newest.bytes()
        self._bytes += counted - newest.counted
        newest.counted = counted
        while len(self._kept) > 1:
            oldest = next(iter(self._kept.values()))
            if self._bytes <= self._most and oldest.asked >= newest.asked - IDLE:
                return
            self._bytes -= self._kept.popitem(last=False)[1].counted


_at_hand = AtHand()
_LARGE = 100_000
"""Bytes of a document whose objects are many enough for the collector to feel them."""


_looked_through = 0.0


def settle() -> None:
    """Take what there is now out of the collector's rounds: it is kept, and hardly any of it refers to itself.

    A full round over some parsed plans stops every thread for a fifth of a second. What is frozen is freed as ever when
    nobody refers to it any more; what did refer to itself (a request under way just then) is looked for now and then.
    """
    global _looked_through
    if time.monotonic() - _looked_through > STALE:
        _looked_through = time.monotonic()
        gc.unfreeze()
    gc.collect()
    gc.freeze()


def find_published(service: Service, workshop_id: str, plan_id: str, revision: int | None = None) -> Published:
    """The newest revision of the workshop's plan, or the one asked for.

    Raises NotFound if there is no such plan or revision, Conflict while none is published.
    """
    with service.database.read() as connection:
        row = find_plan(connection, workshop_id, plan_id)
        numbers = [known.number for known in reading.revisions(connection, plan_id)]
        if not numbers:
            raise Conflict(f"The plan is {row.status}; there is no run plan yet.")
        number = numbers[-1] if revision is None else revision
        if number not in numbers:
            raise NotFound(f"This plan has no revision {number}.")
    both = _at_hand.get((plan_id, number), lambda: _documents(service, plan_id, number))
    return Published(row, number, *both)


def _documents(service: Service, plan_id: str, number: int) -> tuple[str, str]:
    with service.database.read() as connection:
        plan = reading.document(connection, plan_id, number)
        campaign = reading.campaign_of_revision(connection, plan_id, number)
    if plan is None or campaign is None:  # removed since
        raise NotFound(f"This plan has no revision {number}.")
    return plan, campaign
