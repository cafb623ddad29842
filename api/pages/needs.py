"""What a day needs of the maker: things to order, tools due, deliveries, changeovers, pick-ups."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from api import wording
from planner.campaign import Campaign
from planner.plan import RunPlan
from planner.plan.run_names import RunNames
from planner.readiness import ready_days


@dataclass(frozen=True)
class Need:
    """One thing on one day. at: wall-clock time where it has one. urgent: its day is over and it may be undone."""

    day: date
    what: str
    text: str
    at: str = ""
    urgent: bool = False


@dataclass(frozen=True)
class Today:
    """A day's needs; overdue orders first. following: the next days that need something."""

    day: date
    needs: list[Need]
    following: list[Need]


def todays(plan: RunPlan, campaign: Campaign, day: date, ahead: int = 6) -> Today:
    """What that day asks for, and the next things after it."""
    known = sorted(_all(plan, campaign), key=lambda need: (need.day, need.at, need.what, need.text))
    overdue = [Need(n.day, n.what, n.text, n.at, True) for n in known if n.what == "order" and n.day < day]
    return Today(day, overdue + [n for n in known if n.day == day], [n for n in known if n.day > day][:ahead])


def _all(plan: RunPlan, campaign: Campaign) -> Iterator[Need]:
    for material in plan.materials:
        if material.order_by is not None:
            text = f"{wording.kilograms(material.bought_kg)} of {material.kind} {material.id}"
            yield Need(material.order_by, "order", text)
    for piece in plan.pieces:
        if piece.order_by is not None:
            yield Need(piece.order_by, "order", f"{wording.number(piece.bought)} {piece.id}")
    for name, day in ready_days(campaign).items():
        if day is not None:
            yield _on(day, "tool", f"{name} must be ready")
    for step in plan.tool_steps:
        if not step.done:
            who = f", {step.by}" if step.by else ""
            yield Need(step.begin.date(), "tool", f"{step.what} begins{who}, to be done by {wording.day(step.end)}")
    arrivals = [(name, piece.arrivals, "") for name, piece in campaign.pieces.items()]
    arrivals += [(name, resin.arrivals, "kg") for name, resin in campaign.resins.items()]
    arrivals += [(f"masterbatch {name}", colour.arrivals, "kg") for name, colour in campaign.colours.items()]
    for name, deliveries, unit in arrivals:
        for delivery in deliveries:
            amount = wording.kilograms(delivery.amount) if unit else wording.number(delivery.amount)
            yield _on(delivery.on, "delivery", f"{amount} {name} should arrive")
    called = RunNames(plan.runs)
    for run in plan.runs:
        change = run.changeover
        if change is not None:
            does = [f"mount {run.tool}"] if change.mount_seconds else []
            does += [f"purge {purge.from_} to {purge.to}" for purge in change.purges if purge.where == "barrel"]
            does = does or [f"start {run.tool}"]
            yield _on(change.start, "changeover", f"{run.press}: {', '.join(does)} for the {called[run.id].nth}")
        else:
            yield _on(run.start, "run", f"{run.press}: {called[run.id].what}, {called[run.id].nth}")
    for dispatch in plan.dispatches:
        yield _on(dispatch.at, "pick-up", f"{wording.counted(dispatch.parcels, 'parcel')} leave")


def _on(when: date | datetime, what: str, text: str) -> Need:
    if isinstance(when, datetime):
        return Need(when.date(), what, text, f"{when:%H:%M}")
    return Need(when, what, text)
