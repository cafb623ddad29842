"""A slip: a tool or a piece that comes days late, on the document and on the compiled campaign (RULES.md, S1)."""

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Literal

from planner.calendars.clock import Clock
from planner.campaign import Campaign
from planner.campaign.base import Arrival
from planner.readiness import ready_of
from planner.schedule.encode import Names
from planner.schedule.encode.goods import Goods
from planner.schedule.instance import Instance

Kind = Literal["tool", "piece"]


@dataclass(frozen=True)
class Slip:
    """Something that comes so many calendar days later than the campaign says, at the same wall-clock time."""

    kind: Kind
    name: str
    days: int


def things(campaign: Campaign) -> list[tuple[Kind, str]]:
    """Every tool and every bought-in piece that can slip: a piece that is all in hand cannot."""
    tools: list[tuple[Kind, str]] = [("tool", name) for name in sorted(campaign.tools)]
    pieces = [name for name, p in sorted(campaign.pieces.items()) if p.arrivals or p.lead_days is not None]
    return tools + [("piece", name) for name in pieces]


def slipped(campaign: Campaign, slip: Slip) -> Campaign:
    """The campaign document after the slip. A tool that was there from the start is missing that long."""
    late = timedelta(days=slip.days)
    if slip.kind == "tool":
        tool = campaign.tools[slip.name]
        now = ready_of(campaign, slip.name)
        ready: date | datetime = campaign.start if now is None else _from_start(campaign, now)
        tools = campaign.tools | {slip.name: tool.model_copy(update={"ready": ready + late})}
        return campaign.model_copy(update={"tools": tools})
    piece = campaign.pieces[slip.name]
    arrivals = [Arrival(on=_from_start(campaign, a.on) + late, amount=a.amount) for a in piece.arrivals]
    lead = None if piece.lead_days is None else piece.lead_days + slip.days
    pieces = campaign.pieces | {slip.name: piece.model_copy(update={"arrivals": arrivals, "lead_days": lead})}
    return campaign.model_copy(update={"pieces": pieces})


def _from_start(campaign: Campaign, moment: date | datetime) -> date | datetime:
    """Days count from when it could be there: not before the campaign begins."""
    clock = Clock.starting(campaign.start, campaign.time_zone)
    return campaign.start if clock.seconds(moment) < 0 else moment


def recompiled(inst: Instance, names: Names, slip: Slip) -> tuple[Instance, Names]:
    """The compiled campaign after the slip, without compiling all of it again."""
    names = replace(names, campaign=slipped(names.campaign, slip))
    if slip.kind == "tool":
        ready = inst.tool_ready.copy()
        moment = ready_of(names.campaign, slip.name)
        ready[names.tools.index(slip.name)] = max(0, names.clock.seconds(moment)) if moment is not None else 0
        return inst._replace(tool_ready=ready), names
    goods = Goods(names.campaign, names.runs, names.clock)
    return inst._replace(piece_ptr=goods.piece_ptr, piece_t=goods.piece_t, piece_count=goods.piece_count), names
