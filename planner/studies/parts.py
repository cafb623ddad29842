"""What a study is made of: parts that may be worked out anywhere and in any order, each unlocking whoever waits for it.

Everything a part is asked and says is JSON, so that it can be kept, sent and worked out again after a loss.
"""

import hashlib
import json
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from planner.campaign import Campaign
from planner.control import Control
from planner.plan.document import RunPlan
from planner.reading import read


@dataclass(frozen=True)
class Subquestion:
    """One part's question. unlocks: the number (from 0) of the part that waits for this one; None: the last of all.

    Parts are listed so that a part comes right after those that lead to it: the last one is the whole's end.
    """

    ask: dict[str, Any]
    unlocks: int | None


@dataclass(frozen=True)
class Said:
    """Something worked out, told as soon as it is there. kind: cell, row, lever ..."""

    kind: str
    data: Any


@dataclass(frozen=True)
class Answer:
    """What a part came to. result: of the last part, the study's document."""

    said: list[Said]
    result: Any = None


@dataclass(frozen=True)
class Subject:
    """The campaign and the plan a study is about, both as JSON text."""

    campaign_text: str
    plan_text: str

    @property
    def digest(self) -> str:
        return hashlib.sha256(self.campaign_text.encode() + b"\n" + self.plan_text.encode()).hexdigest()

    @property
    def campaign(self) -> Campaign:
        return _campaign(self.campaign_text)

    @property
    def plan(self) -> RunPlan:
        return _plan(self.plan_text)


@lru_cache(maxsize=4)
def _campaign(text: str) -> Campaign:
    return read(json.loads(text))


@lru_cache(maxsize=4)
def _plan(text: str) -> RunPlan:
    return RunPlan.model_validate_json(text)


def _to_nobody(_said: Said) -> None:
    """Where nobody waits for what comes before the answer."""


@dataclass(frozen=True)
class Work:
    """A part to be worked out. given: what the parts that lead to it have said, in the parts' order. tell: takes what
    is worked out on the way, before the answer is whole; never waits."""

    kind: str
    subject: Subject
    question: dict[str, Any]
    ask: dict[str, Any]
    given: list[Said]
    tell: Callable[[Said], None] = _to_nobody


@dataclass(frozen=True)
class Split:
    """A study before it begins: what is told at once, and its parts."""

    begun: dict[str, Any]
    parts: list[Subquestion]


@dataclass(frozen=True)
class Kind:
    """A kind of study. split raises CampaignProblems where the question does not fit the campaign."""

    split: Callable[[Subject, dict[str, Any]], Split]
    answer: Callable[[Work, Control], Answer]


def firsts(parts: list[Subquestion]) -> list[int]:
    """For each part the number of the first part that leads to it, itself where none does.

    Raises ValueError where parts are not listed as they should be.
    """
    first = list(range(len(parts)))
    for n, part in enumerate(parts[:-1]):
        if part.unlocks is None or not n < part.unlocks < len(parts):
            raise ValueError(f"part {n} unlocks {part.unlocks}")
        first[part.unlocks] = min(first[part.unlocks], first[n])
    if not parts or parts[-1].unlocks is not None or first[-1] != 0:
        raise ValueError("the last part must end the whole")
    return first
