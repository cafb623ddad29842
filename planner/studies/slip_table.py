"""The slip table as a study: a part for each slip (both policies), a row once a thing's slips are there, the table."""

from functools import lru_cache
from typing import Any

from planner.control import Control
from planner.errors import CampaignProblems, Problem
from planner.slips.document import Cell, SlipRow, SlipTable
from planner.slips.slip import Slip, things
from planner.slips.study import POLICIES, Study, in_order
from planner.studies.parts import Answer, Said, Split, Subject, Subquestion, Work


def split(subject: Subject, question: dict[str, Any]) -> Split:
    """question: `slips` (days), `only` (names; empty: all), `rounds`."""
    known = things(subject.campaign)
    only, days = question["only"], sorted(set(question["slips"]))
    unknown = sorted(set(only) - {name for _, name in known})
    if unknown:
        told = "is no tool, and no piece, resin or masterbatch that is still to come"
        raise CampaignProblems([Problem("/only", f"`{name}` {told}") for name in unknown])
    wanted = [(kind, name) for kind, name in known if not only or name in only]
    parts: list[Subquestion] = []
    last = len(wanted) * (len(days) + 1)
    for kind, name in wanted:
        row = len(parts) + len(days)
        thing = {"kind": kind, "name": name}
        parts += [Subquestion(thing | {"days": d}, row) for d in days]
        parts.append(Subquestion(thing, last))
    return Split(
        {"cells": len(wanted) * len(days) * len(POLICIES), "slips": days}, [*parts, Subquestion({"slips": days}, None)]
    )


def answer(work: Work, _control: Control) -> Answer:
    """Cells, a row, or the table."""
    ask = work.ask
    if "slips" in ask:
        return _table(ask["slips"], work.given)
    study = _study(work.subject, work.question["rounds"])
    kind, name = ask["kind"], ask["name"]
    if "days" in ask:
        cells = study.pair(Slip(kind, name, ask["days"]))
        return Answer([Said("cell", cell.model_dump(mode="json")) for cell in cells])
    if not work.given:
        return Answer([])  # stopped before one of its cells was there
    row = study.row(kind, name, [Cell.model_validate(said.data) for said in work.given])
    return Answer([Said("row", row.model_dump(mode="json", exclude={"cells"}))])


def _table(slips: list[int], given: list[Said]) -> Answer:
    cells = [Cell.model_validate(said.data) for said in given if said.kind == "cell"]
    rows = []
    for said in given:
        if said.kind == "row":
            own = [c for c in cells if (c.kind, c.name) == (said.data["kind"], said.data["name"])]
            rows.append(SlipRow.model_validate(said.data | {"cells": own}))
    table = SlipTable(slips=slips, rows=in_order(rows))
    names = [{"kind": r.kind, "name": r.name, "verdict": r.verdict} for r in table.rows]
    return Answer([Said("table", names)], table.model_dump(mode="json"))


@lru_cache(maxsize=2)
def _compiled(_digest: str, campaign: str, plan: str, rounds: int) -> Study:
    subject = Subject(campaign, plan)
    return Study(subject.campaign, subject.plan, rounds)


def _study(subject: Subject, rounds: int) -> Study:
    return _compiled(subject.digest, subject.campaign_text, subject.plan_text, rounds)
