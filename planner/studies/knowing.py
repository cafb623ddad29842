"""What knowing is worth, as a study: a part for each thing that is not sure, in the end all of them ranked."""

from dataclasses import asdict
from typing import Any

from planner.control import Control
from planner.errors import CampaignProblems, Problem
from planner.expected.knowing import JUDGED_BY, MOST_THINGS, NOISE, Subject, known, sure_at, things
from planner.promise.scenarios import draw
from planner.studies.parts import Answer, Said, Split, Subquestion, Work
from planner.studies.parts import Subject as Documents


def split(subject: Documents, question: dict[str, Any]) -> Split:
    """Parts look into the things that move the cost most, the n-th each, and into those of the question's `values`, by
    name, were they sure to turn out so. Raises CampaignProblems where the campaign does not say what is unsure, or
    nothing of such a name."""
    if subject.campaign.uncertainty is None:
        text = "the campaign does not say what is unsure, so that nobody can say what knowing it is worth"
        raise CampaignProblems([Problem("/uncertainty", text, "say what may come early or late")])
    factors = [factor.name for factor in draw(subject.campaign, 1, 0).factors]
    values: dict[str, float] = question.get("values") or {}
    strange = [name for name in values if name not in factors]
    if strange:
        remedy = f"use one of {', '.join(factors[:20])}" if factors else "say first what is unsure"
        raise CampaignProblems([Problem(f"/values/{strange[0]}", f"nothing unsure is called `{strange[0]}`", remedy)])
    number = min(MOST_THINGS, len(factors))
    parts = [
        *(Subquestion({"nth": n}, number) for n in range(number)),
        *(Subquestion({"sure": n}, number) for n in values),
    ]
    return Split({"things": number}, [*parts, Subquestion({}, None)])


def answer(work: Work, _control: Control) -> Answer:
    """What one thing is worth knowing; in the end all, worth most first. What lies within the noise has no rank."""
    if not work.ask:
        end = ranked([said.data for said in work.given if said.kind == "known"])
        end["sure"] = [said.data for said in work.given if said.kind == "sure"]
        return Answer([Said("ranked", end)], end)
    subject = Subject(work.subject.campaign, work.subject.plan)
    if "sure" in work.ask:
        name = work.ask["sure"]
        return Answer([Said("sure", asdict(sure_at(subject, name, work.question["values"][name])))])
    found = things(subject)
    if work.ask["nth"] >= len(found):
        return Answer([])
    return Answer([Said("known", asdict(known(subject, found[work.ask["nth"]])))])


def ranked(found: list[dict[str, Any]]) -> dict[str, Any]:
    """All things: those whose worth is beyond the noise by rank, the others after them without one."""
    beyond = [one for one in found if one["worth"] > NOISE * one["error"] and one["worth"] > 0]
    beyond.sort(key=lambda one: (-one["worth"], one["factor"]))
    rest = sorted((one for one in found if one not in beyond), key=lambda one: one["factor"])
    placed = [one | {"rank": n} for n, one in enumerate(beyond, start=1)]
    return {"replications": JUDGED_BY, "things": [*placed, *(one | {"rank": None} for one in rest)]}
