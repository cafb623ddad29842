"""A sample of many cases: the suite tries one in so many, `EVERY_CASE=1 ./run test` tries all of them."""

import os
from collections.abc import Iterable
from typing import TypeVar

Case = TypeVar("Case")

EVERY = bool(os.environ.get("EVERY_CASE"))
"""Whether no case is passed over."""


def sampled(cases: Iterable[Case], one_in: int, first: int = 0) -> list[Case]:
    """Of the cases each so many-th, from that one on; all of them if that is asked for."""
    return list(cases) if EVERY else list(cases)[first % one_in :: one_in]


def examples(number: int) -> int:
    """How many examples a property is tried with: a third of the number, all of them if that is asked for."""
    return number if EVERY else number // 3
