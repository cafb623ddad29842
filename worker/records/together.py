"""Small writes that come at once share one transaction: beginning, committing and the disk are paid for once.

Whoever comes while nobody writes, writes; who comes meanwhile waits, and the next one to write carries out what all of
them want. Nobody waits for company. Where one of them fails, none of it is kept, and each is carried out by itself.
"""

import threading
import time
from collections.abc import Callable
from contextlib import AbstractContextManager
from contextvars import copy_context
from typing import Generic, TypeVar

from sqlalchemy import Connection

T = TypeVar("T")
Transaction = Callable[[float], AbstractContextManager[Connection]]
"""A transaction that may write, for whoever waits so many seconds for it at most."""


class TooMany(Exception):
    """As many wait as may."""


class _Wanted(Generic[T]):
    """One write: what is to be done, in the context of whoever wants it, and what came of it."""

    def __init__(self, act: Callable[[Connection], T]) -> None:
        self._act, self._context = act, copy_context()
        self.done = False
        self._made: T | None = None
        self._error: BaseException | None = None

    def carry_out(self, connection: Connection) -> None:
        self._made = self._context.run(self._act, connection)

    def failed(self, error: BaseException) -> None:
        self._error = error

    def result(self) -> T:
        if self._error is not None:
            raise self._error
        return self._made  # type: ignore[return-value]  # carried out without an error


class Together:
    """Carries writes out, those that wait in one transaction. most: that may wait at once."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._changed = threading.Condition()
        self._waiting: list[_Wanted[object]] = []
        self._somebody_writes = False

    def write(self, act: Callable[[Connection], T], transaction: Transaction, patience: float) -> T:
        """What `act` gave; it is committed then. It may be begun twice, but counts once.

        patience: seconds to wait for a transaction. Raises TooMany, what `act` raises and what the transaction does.
        """
        mine: _Wanted[T] = _Wanted(act)
        with self._changed:
            if len(self._waiting) >= self._most:
                raise TooMany
            self._waiting.append(mine)  # type: ignore[arg-type]
            self._changed.wait_for(lambda: mine.done or not self._somebody_writes)
            if mine.done:
                return mine.result()
            self._somebody_writes = True
            all_of_us, self._waiting = self._waiting, []
        try:
            _carry_out(all_of_us, transaction, time.monotonic() + patience)
        finally:
            with self._changed:
                for one in all_of_us:
                    one.done = True
                self._somebody_writes = False
                self._changed.notify_all()
        return mine.result()


def _carry_out(wanted: list[_Wanted[object]], transaction: Transaction, until: float) -> None:
    try:
        with transaction(max(0.0, until - time.monotonic())) as connection:
            for one in wanted:
                one.carry_out(connection)
    except BaseException as error:
        if len(wanted) == 1:
            wanted[0].failed(error)
            return
        for one in wanted:  # each has its own answer then, and nobody fails for another's fault
            _carry_out([one], transaction, until)
