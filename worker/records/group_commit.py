"""Small writes that come at once share one transaction: beginning, committing and the disk are paid for once.

Whoever comes while nobody writes, writes; who comes meanwhile waits, and the next one to write carries out what all of
them want, those of a kind in one step. Nobody waits for company. Where one of them fails, none of it is kept, and each
is carried out by itself.
"""

import threading
import time
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from typing import Any, Generic, TypeVar

from sqlalchemy import Connection

Item = TypeVar("Item")
Made = TypeVar("Made")
Act = Callable[[Connection, Sequence[Item]], Sequence[Made | Exception]]
"""Writes several of a kind; gives what came of each, in their order. An error among them is that one's own, and what
is written of the others stays; what it raises undoes them all."""
Transaction = Callable[[float], AbstractContextManager[Connection]]
"""A transaction that may write, for whoever waits so many seconds for it at most."""


class TooMany(Exception):
    """As many wait as may."""


class _Wanted(Generic[Item, Made]):
    """One write: what is to be done, with what, and what came of it. until: the monotonic second to which a transaction
    is waited for."""

    def __init__(self, act: Act[Item, Made], item: Item, until: float) -> None:
        self.act, self.item, self.until = act, item, until
        self.done = False
        self._made: Made | BaseException | None = None

    def came_to(self, made: Made | BaseException) -> None:
        self._made = made

    def result(self) -> Made:
        if isinstance(self._made, BaseException):
            raise self._made
        return self._made  # type: ignore[return-value]  # carried out without an error


class GroupCommit:
    """Carries writes out, those that wait in one transaction. most: that may wait at once."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._changed = threading.Condition()
        self._waiting: list[_Wanted[Any, Any]] = []
        self._somebody_writes = False

    def write(self, act: Act[Item, Made], item: Item, transaction: Transaction, patience: float) -> Made:
        """What `act` gave for this item; it is committed then. It may be begun twice, but counts once.

        patience: seconds to wait for a transaction, from now on. Raises TooMany, what `act` raises and what the
        transaction does.
        """
        mine: _Wanted[Item, Made] = _Wanted(act, item, time.monotonic() + patience)
        with self._changed:
            if len(self._waiting) >= self._most:
                raise TooMany
            self._waiting.append(mine)
            self._changed.wait_for(lambda: mine.done or not self._somebody_writes)
            if mine.done:
                return mine.result()
            self._somebody_writes = True
            all_of_us, self._waiting = self._waiting, []
        try:
            _carry_out(all_of_us, transaction, min(one.until for one in all_of_us))
        finally:
            with self._changed:
                for one in all_of_us:
                    one.done = True
                self._somebody_writes = False
                self._changed.notify_all()
        return mine.result()


def _carry_out(wanted: list[_Wanted[Any, Any]], transaction: Transaction, until: float) -> None:
    kinds: dict[Any, list[_Wanted[Any, Any]]] = {}
    for one in wanted:
        kinds.setdefault(one.act, []).append(one)
    begun = False
    try:
        with transaction(max(0.0, until - time.monotonic())) as connection:
            begun = True
            for act, alike in kinds.items():
                for one, made in zip(alike, act(connection, [one.item for one in alike]), strict=True):
                    one.came_to(made)
    except BaseException as error:
        if not begun or len(wanted) == 1:  # who got no transaction with the others would get none alone
            for one in wanted:
                one.came_to(error)
            return
        for one in wanted:  # each has its own answer then, and nobody fails for another's fault
            _carry_out([one], transaction, until)
