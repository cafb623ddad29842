"""What must be paid by when, week by week, for pages and workbook."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby
from math import fsum

from planner.plan.document import CashDue


@dataclass(frozen=True)
class Payment:
    """Something to pay, as people call it: what is paid whole is no balance."""

    on: date
    what: str
    of: str
    amount: float


def payments(cash: Iterable[CashDue]) -> list[Payment]:
    """What must be paid, in the plan's order; a balance without a deposit before it is a payment."""
    due = list(cash)
    deposits = {line.of for line in due if line.what == "deposit"}
    return [
        Payment(
            line.on,
            "payment" if line.what == "balance" and line.of not in deposits else line.what,
            line.of,
            line.amount,
        )
        for line in due
    ]


@dataclass(frozen=True)
class Week:
    """Payments of one week. first: its Monday. so_far: all that is paid by its end."""

    first: date
    lines: list[Payment]
    amount: float
    so_far: float


def weekly(cash: Iterable[CashDue]) -> list[Week]:
    """The weeks in which something is to be paid, in order."""
    found: list[Week] = []
    so_far = 0.0
    for first, lines in groupby(sorted(payments(cash), key=lambda line: line.on), key=lambda line: _monday(line.on)):
        these = list(lines)
        amount = fsum(line.amount for line in these)
        so_far += amount
        found.append(Week(first, these, amount, so_far))
    return found


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())
