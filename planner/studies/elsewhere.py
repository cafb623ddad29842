"""Runs on another press as a study: a part for each press that could take them, and one for the plan as it is."""

from typing import Any

from planner.campaign.wishes import WishedRuns
from planner.control import Control
from planner.errors import CampaignProblems, Problem
from planner.plan.wishes import named
from planner.slips.document import Elsewhere
from planner.slips.elsewhere import on_press, presses_for, prices
from planner.studies.parts import Answer, Said, Split, Subject, Subquestion, Work


def split(subject: Subject, question: dict[str, Any]) -> Split:
    """question: `tool`, and `colours`, one per barrel (none: all runs of the tool)."""
    runs = _runs(question)
    if not named(subject.plan.runs, runs):
        said = f"the plan has no run of `{runs.tool}`" + (f" in {' + '.join(runs.colours)}" if runs.colours else "")
        raise CampaignProblems([Problem("/tool", said, "name a tool and its colours as the plan's runs do")])
    presses, _ = presses_for(subject.campaign, subject.plan, runs)
    parts = [Subquestion({"press": press}, len(presses) + 1) for press in [None, *presses]]
    return Split({"presses": len(presses)}, [*parts, Subquestion({}, None)])


def answer(work: Work, control: Control) -> Answer:
    """One press; in the end all, cheapest first, what cannot be had last."""
    plan = work.subject.plan
    if not work.ask:
        found = [Elsewhere.model_validate(said.data) for said in work.given]
        worth = prices(plan, found)
        priced = [one.model_copy(update={"price": worth.get(one.press)}) for one in found if one.press is not None]
        priced.sort(key=lambda one: (one.price is None, one.price or 0.0, one.press))
        listed = [one.model_dump(mode="json") for one in priced]
        return Answer([Said("priced", listed)], {"elsewhere": listed})
    one = on_press(work.subject.campaign, plan, _runs(work.question), work.ask["press"], control)
    return Answer([Said("press", one.model_dump(mode="json"))])


def _runs(question: dict[str, Any]) -> WishedRuns:
    return WishedRuns(tool=question["tool"], colours=question["colours"])
