"""Work on parts between press and assembly: on a bench of our own, or at another firm to which they travel in lots."""

from collections.abc import Iterable
from datetime import date
from fractions import Fraction
from typing import Annotated

from pydantic import Field

from planner.campaign.base import Amount, Document, Id, Share, TimeOfDay
from planner.campaign.benches import WEEKDAYS, Bench, Day


class FinishingBench(Bench):
    """A bench of our own between press and assembly: pad printing, ultrasonic welding, trimming gates, annealing."""


class FinishingFirm(Document):
    """Another firm that works on parts: a lot leaves, travels, is worked on, and travels back."""

    leaves: list[Day] = Field(default=WEEKDAYS, max_length=7, description="weekdays on which lots leave")
    time: TimeOfDay = Field(
        default="16:00", description="wall-clock time at which lots leave, and at which they are back"
    )
    there_days: Annotated[int, Field(ge=0, le=365)] = Field(default=1, description="calendar days on the way there")
    lead_days: Annotated[int, Field(ge=0, le=365)] = Field(
        default=5, description="days on which the firm works, from the day after a lot has come"
    )
    back_days: Annotated[int, Field(ge=0, le=365)] = Field(default=1, description="calendar days on the way back")
    works: list[Day] = Field(default=WEEKDAYS, max_length=7, description="weekdays on which the firm works")
    closed_days: list[date] = Field(default=[], max_length=400, description="the firm's own holidays")
    lot_price: Amount = Field(default=0, description="money for each lot, there and back")
    balance_days: Annotated[int, Field(ge=0, le=3650)] = Field(
        default=0, description="calendar days from the day a lot is back to the day it is to be paid"
    )


class FinishingStep(Document):
    """One piece of work on a part after it is moulded."""

    what: Annotated[str, Field(min_length=1, max_length=60)] = Field(description="in words: pad printing, painting")
    at: Id = Field(description="one of `finishing_benches` or `finishing_firms`")
    minutes: Amount = Field(default=0, description="on a bench: minutes of one person for each part that goes in")
    lot_parts: Annotated[int, Field(ge=1, le=10_000_000)] | None = Field(
        default=None,
        description="at the first firm a part goes to: good parts that travel together, the last with what is left; "
        "none: all of them together",
    )
    price: Amount = Field(default=0, description="money for each part that goes in: the firm's price, or ink and paint")
    scrap_share: Share = Field(default=0, description="share of parts that it spoils; more are moulded for it")
    rest_hours: Amount = Field(default=0, description="hours from its end until the part may go on, e.g. to dry")
    gives_colour: bool = Field(
        default=False,
        description="the part gets its colour here (paint), not from the melt; products say which under `finished_in`",
    )


def scrap_from(steps: Iterable[FinishingStep]) -> Fraction:
    """Share of the parts going into the first of the steps that all of them together spoil."""
    good = Fraction(1)
    for step in steps:
        good *= 1 - Fraction(repr(step.scrap_share))
    return 1 - good


def goes_in(steps: list[FinishingStep], n: int, good: int) -> Fraction:
    """Parts that go into the n-th step, on average, for so many that are good after the last."""
    return good / (1 - scrap_from(steps[n:]))


Finishing = Annotated[list[FinishingStep], Field(max_length=10)]
