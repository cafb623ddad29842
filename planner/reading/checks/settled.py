"""Cross-checks of what is settled on a known day: what comes later by it is still to come, and not before that day."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta

from planner.calendars.moments import first_moment
from planner.campaign.document import Campaign
from planner.campaign.pointers import pointer
from planner.campaign.uncertainty import Settled, ThreePoint
from planner.errors import Problem
from planner.readiness import ready_days

SECTIONS = {"tools": "tools", "pieces": "pieces", "resins": "resins", "colours": "colours"}


def check(campaign: Campaign) -> list[Problem]:
    """Unknown ids, days that are negative, and what is there before the outcome is known."""
    unsure = campaign.uncertainty
    if unsure is None or not unsure.settled:
        return []
    problems: list[Problem] = []
    sound = all(not tool.until_ready for tool in campaign.tools.values())
    ready = ready_days(campaign) if sound else {name: tool.ready for name, tool in campaign.tools.items()}
    for name, one in unsure.settled.items():
        for section, of, steps, days in _named(name, one):
            where = pointer(*steps)
            known = getattr(campaign, section)
            if of not in known:
                problems.append(Problem(where, f"`{of}` is not among `{section}`", "name one that is, or leave it out"))
                continue
            if days is not None and days.early < 0:
                text = f"{days.early:g} days: an outcome makes nothing earlier than what is counted on"
                problems.append(Problem(where, text, "list first the outcome that brings it soonest"))
            if section == "tools" and campaign.tools[of].until_ready:
                continue  # its steps say when it comes, and are not finished before they are
            comes = [ready[of]] if section == "tools" else _comings(campaign, section, of)
            first = min((first_moment(at) for at in comes if at is not None), default=None)
            if first is None or first < first_moment(one.known):
                day = "there from the start" if first is None else f"there on {first:%d %B %Y}"
                text = f"`{of}` is {day}, before it is known how `{name}` turns out"
                remedy = f"give it a day from {first_moment(one.known):%d %B %Y} on, or settle it sooner"
                problems.append(Problem(where, text, remedy))
        problems += _recipes(campaign, name, one)
    return problems


def _recipes(campaign: Campaign, name: str, one: Settled) -> Iterator[Problem]:
    """What a recipe takes from another colour, and colours that could be moulded before it is known which they are."""
    known = first_moment(one.known)
    open_ = {of for outcome in one.outcomes.values() for of in outcome.recipes}
    for outcome_id, outcome in one.outcomes.items():
        for of, recipe in outcome.recipes.items():
            where = pointer("uncertainty", "settled", name, "outcomes", outcome_id, "recipes", of)
            if recipe.colour is not None and recipe.colour not in campaign.colours:
                yield Problem(where, f"`{recipe.colour}` is not among `colours`", "name one that is")
            elif recipe.colour in open_:
                text = f"`{recipe.colour}` is open itself until it is known how `{name}` turns out"
                yield Problem(where, text, "name a colour that is settled")
            if of not in campaign.colours:
                continue
            own = campaign.colours[of]
            if own.stock_kg > 0:
                text = f"{own.stock_kg:g} kg of `{of}` are in hand before it is known how `{name}` turns out"
                remedy = f"nothing is moulded in it before: write them as a delivery on {known:%d %B %Y}"
                yield Problem(pointer("colours", of, "stock_kg"), text, remedy)
            if own.let_down_percent == 0:
                text = f"`{of}` takes no masterbatch, so nothing keeps it from being moulded before `{name}` is settled"
                yield Problem(pointer("colours", of, "let_down_percent"), text, "give it its let-down")


def _named(name: str, one: Settled) -> Iterator[tuple[str, str, tuple[str, ...], ThreePoint | None]]:
    for outcome_id, outcome in one.outcomes.items():
        for section in SECTIONS:
            for of, days in getattr(outcome, section).items():
                yield section, of, ("uncertainty", "settled", name, "outcomes", outcome_id, section, of), days
        for of in outcome.recipes:
            yield "colours", of, ("uncertainty", "settled", name, "outcomes", outcome_id, "recipes", of), None


def _comings(campaign: Campaign, section: str, of: str) -> list[date | datetime]:
    """When more of something bought comes: agreed deliveries, and what could be ordered at the start."""
    bought = getattr(campaign, section)[of]
    found: list[date | datetime] = [arrival.on for arrival in bought.arrivals]
    if bought.lead_days is not None:
        found.append(campaign.start + timedelta(days=bought.lead_days))
    return found
