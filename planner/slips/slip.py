"""A slip: a tool, a piece, a resin or a masterbatch that comes days late, on the document and on the compiled campaign
(RULES.md, S1).
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any, Literal

from planner.calendars.clock import Clock
from planner.campaign import Campaign
from planner.campaign.base import Arrival
from planner.campaign.materials import Colour, Resin
from planner.campaign.products import Piece
from planner.demand.into_moulds import into_moulds
from planner.readiness import ready_of
from planner.schedule.encode import Names, compile_campaign, horizon_days
from planner.schedule.encode.goods import Goods
from planner.schedule.instance import Instance

Kind = Literal["tool", "piece", "resin", "colour"]
SECTIONS: dict[Kind, str] = {"tool": "tools", "piece": "pieces", "resin": "resins", "colour": "colours"}
"""colour: its masterbatch."""


@dataclass(frozen=True)
class Slip:
    """Something that comes so many calendar days later than the campaign says, at the same wall-clock time."""

    kind: Kind
    name: str
    days: int


def things(campaign: Campaign) -> list[tuple[Kind, str]]:
    """All that can slip: every tool, and of pieces, resins and masterbatch what is not all in hand."""
    found: list[tuple[Kind, str]] = [("tool", name) for name in sorted(campaign.tools)]
    for kind in ("piece", "resin", "colour"):
        found += [(kind, name) for name, thing in sorted(bought(campaign, kind).items()) if _to_come(thing)]
    return found


def bought(campaign: Campaign, kind: Kind) -> Mapping[str, Piece | Resin | Colour]:
    """The pieces, resins or colours of a campaign."""
    known: Mapping[str, Piece | Resin | Colour] = getattr(campaign, SECTIONS[kind])
    return known


def _to_come(thing: Piece | Resin | Colour) -> bool:
    return bool(thing.arrivals or thing.lead_days is not None)


def slipped(campaign: Campaign, slip: Slip) -> Campaign:
    """The campaign document after the slip. A tool that was there from the start is missing that long."""
    late = timedelta(days=slip.days)
    if slip.kind == "tool":
        tool = campaign.tools[slip.name]
        now = ready_of(campaign, slip.name)
        ready: date | datetime = campaign.start if now is None else _from_start(campaign, now)
        tools = campaign.tools | {slip.name: tool.model_copy(update={"ready": ready + late})}
        return campaign.model_copy(update={"tools": tools})
    known = bought(campaign, slip.kind)
    thing = known[slip.name]
    arrivals = [Arrival(on=_from_start(campaign, a.on) + late, amount=a.amount) for a in thing.arrivals]
    lead = None if thing.lead_days is None else thing.lead_days + slip.days
    changed = thing.model_copy(update={"arrivals": arrivals, "lead_days": lead})
    return campaign.model_copy(update={SECTIONS[slip.kind]: {**known, slip.name: changed}})


def slip_between(before: Campaign, after: Campaign) -> Slip | None:
    """The one slip that leads from a campaign to another, however each is to be planned; None where it is not just
    one."""
    if before.model_copy(update={"planning": after.planning, "name": after.name}) == after:
        return None
    for kind, name in things(before):
        for days in _days_between(before, after, kind, name):
            slip = Slip(kind, name, days)
            wanted = slipped(before, slip).model_copy(update={"planning": after.planning, "name": after.name})
            if _as_sent(wanted) == _as_sent(after):
                return slip
    return None


def _as_sent(campaign: Campaign) -> dict[str, Any]:
    """As it would be read again: a moment at midnight may then be a day."""
    read = Campaign.model_validate(campaign.model_dump(mode="json", by_alias=True))
    return read.model_dump(mode="json")


def _days_between(before: Campaign, after: Campaign, kind: Kind, name: str) -> list[int]:
    """By how many days one thing may have slipped: at most one number is worth trying."""
    clock = Clock.starting(before.start, before.time_zone)
    if kind == "tool":
        old, new = before.tools[name].ready, after.tools[name].ready if name in after.tools else None
        pair = (before.start if old is None else _from_start(before, old), new)
    else:
        was, now = bought(before, kind)[name], bought(after, kind).get(name)
        if now is None:
            return []
        if was.lead_days is not None and now.lead_days is not None and now.lead_days > was.lead_days:
            return [now.lead_days - was.lead_days]
        if not was.arrivals or not now.arrivals:
            return []
        pair = (_from_start(before, was.arrivals[0].on), now.arrivals[0].on)
    if pair[1] is None or pair[0] == pair[1]:
        return []
    late = round((clock.seconds(pair[1]) - clock.seconds(pair[0])) / 86400)
    return [late] if late > 0 else []


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
    if slip.kind != "piece":
        return compile_campaign(names.campaign)
    campaign, days = names.campaign, horizon_days(names.campaign, names.clock)
    goods = Goods(campaign, names.runs, names.batches, names.clock, days, into_moulds(campaign, names.runs))
    return inst._replace(piece_ptr=goods.piece_ptr, piece_t=goods.piece_t, piece_count=goods.piece_count), names
