"""Levers: changes that bring a tier forward or cut waste, each a variant that is planned and priced, not guessed."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from planner.campaign import Campaign
from planner.campaign.hours import DAYS, Open, spans, weekly
from planner.campaign.operators import too_few
from planner.control import Control
from planner.demand.carriers import takers
from planner.errors import PlannerError
from planner.plan.document import RunPlan
from planner.plan.order_of_work import order_of
from planner.plan.wishes import as_kept
from planner.schedule.encode import compile_campaign
from planner.slips.compare import compare, waste_kg
from planner.slips.document import Goal, Lever
from planner.slips.patches import changed
from planner.slips.swaps import swaps
from planner.wording import short_day

BEST = 10
LEVER_ROUNDS = 3
AS_IT_IS = "plan again, as it is"
NOTICED_KG, NOTICED_MONEY = 0.05, 0.5
SATURDAY = "06:00-14:00"
LEAST_LOT_SHOTS = 100
SOONER_DAYS = 3


@dataclass(frozen=True)
class Idea:
    """A lever not yet tried. patch: JSON Merge Patch to the campaign."""

    title: str
    patch: dict[str, Any]


def ideas(campaign: Campaign, plan: RunPlan, tier: str | None = None) -> list[Idea]:
    """What could be tried on this campaign: hours, people, swapped runs, lots, setters, pick-ups, deliveries, the aim.

    tier: whose last parcel shall leave earlier; none: all together. It decides which runs are worth swapping.
    """
    found = [Idea(AS_IT_IS, {})]
    found += _press_hours(campaign, plan)
    found += _people(campaign)
    found += _bench_hours(campaign)
    found += _swapped(campaign, plan, tier)
    found += _lots(campaign, plan)
    if too_few(campaign):
        more = campaign.floor.operators + 1
        found.append(Idea("one person more who can stay at presses", {"floor": {"operators": more}}))
    found.append(Idea("one setter more", {"floor": {"setters": campaign.floor.setters + 1}}))
    found += _pick_ups(campaign)
    found += _deliveries(campaign)
    found += _tools_sooner(campaign)
    found.append(Idea("aim at the least purge waste", {"planning": {"aim": "waste"}}))
    return found


def _pick_ups(campaign: Campaign) -> Iterator[Idea]:
    for taker in takers(campaign):
        missing = [day for day in ("mon", "tue", "wed", "thu", "fri") if day not in taker.pick_ups.days]
        if missing and taker.pick_ups.days:
            more = missing[len(missing) // 2]
            rule = {"pick_ups": {"days": sorted([*taker.pick_ups.days, more], key=DAYS.index)}}
            whose = f" by {taker.name}" if taker.name else ""
            patch = {"carriers": {taker.name: rule}} if taker.name else rule
            yield Idea(f"one more pick-up a week{whose}, on {more}", patch)


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
                f"a Saturday shift at press {name} on {short_day(saturday)}", {"presses": {name: {"on_dates": shift}}}
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
        ends = [*(s.end for s in own[:-1]), own[-1].end + 60]
        longer[key] = ", ".join(
            f"{_clock(s.start)}-{_clock(end)}" + (f" x{s.people}" if s.people else "")
            for s, end in zip(own, ends, strict=True)
        )
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


def _bench_hours(campaign: Campaign) -> Iterator[Idea]:
    for what in ("assembly", "packing"):
        longer = _an_hour_longer(campaign.assembly if what == "assembly" else campaign.packing)
        if longer:
            yield Idea(f"{what} open an hour longer each day", {what: {"hours": longer}})


def _swapped(campaign: Campaign, plan: RunPlan, tier: str | None) -> Iterator[Idea]:
    """Pinned in the swapped order up to the later of the two places; what follows is planned."""
    for swap in swaps(campaign, plan, tier):
        first, later = (f"{tool} in {' + '.join(colours)}" for tool, colours in (swap.goes_first, swap.goes_later))
        begins = [{"tool": tool, "colours": list(colours)} for tool, colours in swap.first]
        yield Idea(f"on press {swap.press} {first} before {later}", {"presses": {swap.press: {"begins_with": begins}}})


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


def _tools_sooner(campaign: Campaign) -> Iterator[Idea]:
    for name, tool in sorted(campaign.tools.items()):
        if tool.ready is not None and not tool.until_ready:
            sooner = (tool.ready - timedelta(days=SOONER_DAYS)).isoformat()
            yield Idea(
                f"tool {name} ready {SOONER_DAYS} days sooner (what the toolmaker asks for it comes on top)",
                {"tools": {name: {"ready": sooner}}},
            )


def try_lever(
    campaign: Campaign, plan: RunPlan, idea: Idea, control: Control, tier: str | None = None, rounds: int = LEVER_ROUNDS
) -> Lever | None:
    """Plan the variant from the plan's order of work, audited, and say what it buys; None if it cannot be planned.

    tier: whose last dispatch counts; none: all tiers' together.
    """
    try:
        variant = changed(as_kept(campaign, plan), idea.patch)
        inst, names = compile_campaign(variant)
        from planner.planning.make import planned_anew  # here: who only asks does not search

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
        audited=made.audit is not None and made.audit.holds,
        per_day=cost / earlier if earlier > 0 else None,
        comparison=comparison,
    )


def best(levers: list[Lever], most: int = BEST, goal: Goal = "either") -> list[Lever]:
    """Those that serve the goal, cheapest first. What does no better than planning again as it is, is left out."""
    as_it_is = next((v for v in levers if v.title == AS_IT_IS), None)
    useful = [v for v in levers if _serves(v, goal) and (v is as_it_is or not _no_better(v, as_it_is))]
    return sorted(useful, key=lambda v: (v.cost_change, -v.days_earlier, v.title))[:most]


def _serves(lever: Lever, goal: Goal) -> bool:
    sooner, cleaner = lever.days_earlier > 0, lever.waste_kg_less > NOTICED_KG
    if goal == "either":
        return sooner or cleaner or lever.cost_change < -NOTICED_MONEY
    return sooner if goal == "sooner" else cleaner


def _no_better(lever: Lever, as_it_is: Lever | None) -> bool:
    return (
        as_it_is is not None
        and lever.days_earlier <= as_it_is.days_earlier
        and lever.waste_kg_less <= as_it_is.waste_kg_less + NOTICED_KG
        and lever.cost_change >= as_it_is.cost_change - NOTICED_MONEY
    )
