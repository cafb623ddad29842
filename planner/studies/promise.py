"""A promise as a study: one part, its replications spread over the cores of whoever works it out."""

from typing import Any

from planner.control import Control
from planner.promise.document import CONFIDENCE, Promise
from planner.promise.make import REPLICATIONS, make_promise
from planner.studies.parts import Answer, Said, Split, Subject, Subquestion, Work

STANDING: dict[str, Any] = {"floors": REPLICATIONS, "seed": 1, "confidence": CONFIDENCE, "policy": "of the plan"}
"""The question that is asked of every plan as soon as it is made."""

STANDING_BEFORE: dict[str, Any] = STANDING | {"policy": "as planned"}
"""What was asked of plans before they said what they count on."""

PRELIMINARY = "preliminary"
"""What the first replications say of tiers: a promise that says how many they are, without order groups."""


def chance_asked(question: dict[str, Any]) -> float | None:
    """How sure the days asked for are, where this is what is asked of every plan; None for another question."""
    if question | {"confidence": CONFIDENCE} not in (STANDING, STANDING_BEFORE):
        return None
    return float(question["confidence"])


def split(_subject: Subject, question: dict[str, Any]) -> Split:
    """question: `floors`, `seed`, `confidence`, `policy`."""
    return Split({"floors": question["floors"]}, [Subquestion({}, None)])


def answer(work: Work, control: Control) -> Answer:
    """The promise; before it, where it takes its time, what the first replications say of tiers."""
    q, subject = work.question, work.subject

    def tell(promise: Promise) -> None:
        work.tell(Said(PRELIMINARY, promise.model_copy(update={"groups": []}).model_dump(mode="json")))

    made = make_promise(
        subject.campaign, subject.plan, q["floors"], q["seed"], q["confidence"], q["policy"], control.cores(), tell
    )
    document = made.model_dump(mode="json")
    return Answer([Said("promise", document)], document)
