"""Levers as a study: a part for each change to be tried, in the end the cheapest."""

from typing import Any

from planner.control import Control
from planner.errors import CampaignProblems, Problem
from planner.slips.document import Lever
from planner.slips.levers import Idea, best, ideas, try_lever
from planner.studies.parts import Answer, Said, Split, Subject, Subquestion, Work


def split(subject: Subject, question: dict[str, Any]) -> Split:
    """question: `tier`, the one to bring forward (none: all together), and `goal`."""
    tier = question["tier"]
    if tier is not None and tier not in subject.campaign.tiers:
        raise CampaignProblems([Problem("/tier", f"`{tier}` is not among the tiers")])
    tried = ideas(subject.campaign, subject.plan, tier)
    parts = [Subquestion({"title": idea.title, "patch": idea.patch}, len(tried)) for idea in tried]
    return Split({"tried": len(tried)}, [*parts, Subquestion({}, None)])


def answer(work: Work, control: Control) -> Answer:
    """A lever, if it helps; in the end the best."""
    if not work.ask:
        found = best([Lever.model_validate(said.data) for said in work.given], goal=work.question["goal"])
        return Answer(
            [Said("best", [lever.model_dump(mode="json", exclude={"comparison"}) for lever in found])],
            {"levers": [lever.model_dump(mode="json") for lever in found]},
        )
    subject, idea = work.subject, Idea(work.ask["title"], work.ask["patch"])
    lever = try_lever(subject.campaign, subject.plan, idea, control, work.question["tier"])
    if lever is None or not best([lever]):
        return Answer([])
    return Answer([Said("lever", lever.model_dump(mode="json"))])
