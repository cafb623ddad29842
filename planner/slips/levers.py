"""Levers: changes that bring a tier forward or cut waste, each a variant that is planned and priced, not guessed."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from planner.campaign import Campaign
from planner.campaign.hours import DAYS, Open, spans, weekly
from planner.control import Control
from planner.errors import PlannerError
from planner.plan.document import RunPlan
from planner.plan.order_of_work import order_of
from planner.schedule.compiled import compile_campaign
from planner.slips.compare import compare, waste_kg
from planner.slips.document import Lever
from planner.slips.follow import planned_anew
from planner.slips.patches import changed

BEST = 10
LEVER_ROUNDS = 3
SATURDAY = "06:00-14:00"
LEAST_LOT_SHOTS = 100


@dataclass(frozen=True)
class Idea:
    """A lever not yet tried. patch: JSON Merge Patch to the campaign."""

    title: str
    patch: dict[str, Any]


def ideas(campaign: Campaign, plan: RunPlan) -> list[Idea]:
    """What could be tried on this campaign: hours, people, lots, setters, pick-ups, deliveries, the aim."""
    found = [Idea("plan again, as it is", {})]
    found += _press_hours(campaign, plan)
    found += _people(campaign)
    found += _lots(campaign, plan)
    found.append(Idea("one setter more", {"floor": {"setters": campaign.floor.setters + 1}}))
    missing = [day for day in ("mon", "tue", "wed", "thu", "fri") if day not in campaign.pick_ups.days]
    if missing:
        days = sorted([*campaign.pick_ups.days, missing[len(missing) // 2]], key=DAYS.index)
        found.append(Idea(f"one more pick-up a week, on {missing[len(missing) // 2]}", {"pick_ups": {"days": days}}))
    found += _deliveries(campaign)
    found.append(Idea("aim at the least purge waste", {"planning": {"aim": "waste"}}))
    return found


def _press_hours(campaign: Campaign, plan: RunPlan) -> Iterator[Idea]:
    for name, press in sorted(campaign.presses.items()):
        if not any(run.press == name for run in plan.runs):
            continue
        longer = _an_hour_longer(press)
        if longer:
            yield Idea(f"press {name} open an hour longer each day", {"presses": {name: {"hours": longer}}})
        week = weekly(press.hours)
        if not week.get(DAYS.index("sat")):
            saturday = _first_saturday(plan)
            shift = {saturday.isoformat(): SATURDAY}
            yield Idea(
                f"a Saturday shift at press {name} on {saturday.isoformat()}", {"presses": {name: {"on_dates": shift}}}
            )


def _first_saturday(plan: RunPlan) -> date:
    first = plan.start.date()
    return first + timedelta(days=(5 - first.weekday()) % 7)


def _an_hour_longer(press: Open) -> dict[str, str | None] | None:
    """The week with the last span of each day an hour longer; None where a day has no hour left."""
    longer: dict[str, str | None] = {}
    for key, text in press.hours.items():
        own = spans(text)
        if not own:
            continue
        if own[-1].end + 60 > 1440:
            return None
        ends = [(s.start, s.end) for s in own[:-1]] + [(own[-1].start, own[-1].end + 60)]
        longer[key] = ", ".join(f"{_clock(a)}-{_clock(b)}" for a, b in ends)
    return longer or None


def _clock(minutes: int) -> str:
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def _people(campaign: Campaign) -> Iterator[Idea]:
    for what, who in (("assembly", "a person"), ("packing", "a packer")):
        bench = campaign.assembly if what == "assembly" else campaign.packing
        hours = {}
        for key, text in bench.hours.items():
            own = [(s.start, s.end % 1440 or 1440, (s.people or bench.people) + 1) for s in spans(text)]
            hours[key] = ", ".join(f"{_clock(a)}-{_clock(b)} x{people}" for a, b, people in own)
        yield Idea(f"{who} more at {what}", {what: {"hours": hours, "people": bench.people + 1}})


def _lots(campaign: Campaign, plan: RunPlan) -> Iterator[Idea]:
    for name, tool in sorted(campaign.tools.items()):
        longest = max((run.shots for run in plan.runs if run.tool == name), default=0)
        smallest = max(LEAST_LOT_SHOTS, longest // 3)
        if longest >= 2 * smallest and (tool.smallest_lot_shots or longest) > smallest:
            yield Idea(
                f"runs of tool {name} split into lots of {smallest} shots or more",
                {"tools": {name: {"smallest_lot_shots": smallest}}},
            )
        elif tool.smallest_lot_shots is not None:
            yield Idea(f"runs of tool {name} never split", {"tools": {name: {"smallest_lot_shots": None}}})


def _deliveries(campaign: Campaign) -> Iterator[Idea]:
    for name, piece in sorted(campaign.pieces.items()):
        if piece.arrivals:
            sooner = [{"on": (a.on - timedelta(days=2)).isoformat(), "amount": a.amount} for a in piece.arrivals]
            yield Idea(f"deliveries of {name} two days sooner", {"pieces": {name: {"arrivals": sooner}}})


def try_lever(
    campaign: Campaign, plan: RunPlan, idea: Idea, control: Control, tier: str | None = None, rounds: int = LEVER_ROUNDS
) -> Lever | None:
    """Plan the variant from the plan's order of work, audited, and say what it buys; None if it cannot be planned.

    tier: whose last dispatch counts; none: all tiers' together.
    """
    try:
        variant = changed(campaign, idea.patch)
        inst, names = compile_campaign(variant)
        made = planned_anew(inst, names, order_of(plan), control, rounds, bound_effort=0)
    except PlannerError:
        return None
    comparison = compare(plan, made)
    earlier = -sum(t.days for t in comparison.tiers if tier is None or t.tier == tier)
    cost = made.outcome.total - plan.outcome.total
    return Lever(
        title=idea.title,
        patch=idea.patch,
        cost_change=cost,
        days_earlier=earlier,
        waste_kg_less=waste_kg(plan) - waste_kg(made),
        per_day=cost / earlier if earlier > 0 else None,
        comparison=comparison,
    )


def best(levers: list[Lever], most: int = BEST) -> list[Lever]:
    """Those that bring a tier forward or cut waste, cheapest first; what helps neither is left out."""
    useful = [v for v in levers if v.days_earlier > 0 or v.waste_kg_less > 0.05 or v.cost_change < -0.5]
    return sorted(useful, key=lambda v: (v.cost_change, -v.days_earlier, v.title))[:most]
