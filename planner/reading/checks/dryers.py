"""A3 before planning: resins that no dryer can have ready, whatever the order of work (RULES.md, R22 to R24)."""

from collections.abc import Iterator
from datetime import timedelta
from itertools import pairwise

from planner.calendars.clock import Clock
from planner.calendars.stretches import stretches
from planner.campaign.document import Campaign
from planner.campaign.dryer_rate import (
    BEFORE_LEAVING_S,
    drawn_kg_per_hour,
    dryer_of,
    in_one_dryer,
    keeps_hours,
    outruns_dryer,
    window_seconds,
)
from planner.campaign.fit import fitting
from planner.campaign.lights_out import lights_out_seconds
from planner.campaign.pointers import pointer
from planner.errors import Problem
from planner.reading.checks.needs import Needs

DAYS_LOOKED_AT = 60
"""Days of the people's hours that are looked at for the longest time nobody is there."""


def check(campaign: Campaign, needs: Needs) -> list[Problem]:
    """One problem for each resin that is drawn too fast (the worst run) or would wait too long, for tools that draw two
    resins from one dryer, and for runs pinned where a dryer is outrun."""
    worst: dict[str, tuple[float, Problem]] = {}
    twice: dict[str, Problem] = {}
    for (tool, colours), shots in needs.runs.items():
        melts = needs.melts[tool, colours]
        if any(
            resin not in campaign.resins or colour not in campaign.colours
            for resin, _, colour in (melt.rpartition("/") for melt in melts)
        ):
            continue
        both = in_one_dryer(campaign, melts)
        if both is not None:
            twice[both[1]] = _both_at_once(campaign, tool, *both)
            continue
        fits = fitting(campaign, tool)
        too_fast = {press: outruns_dryer(campaign, tool, press, melts, shots) for press in fits}
        if not fits or not all(too_fast.values()):
            continue
        press = min(fits, key=lambda p: campaign.presses[p].efficiency)
        resin = str(too_fast[press])
        rate = drawn_kg_per_hour(campaign, tool, press, melts)[resin]
        if resin not in worst or rate > worst[resin][0]:
            worst[resin] = (rate, _problem(campaign, tool, press, resin, rate))
    found = [problem for _, problem in worst.values()] + list(twice.values())
    return found + _pinned(campaign, needs) + list(_waits(campaign, needs))


def _problem(campaign: Campaign, tool: str, press: str, resin: str, rate: float) -> Problem:
    terms, hours = campaign.resins[resin], window_seconds(campaign, resin) / 3600
    alone = "" if hours <= terms.drying_hours else ", and the hours after people have left for which nobody tops it up"
    return Problem(
        pointer("resins", resin, "dryer_kg"),
        f"tool `{tool}` draws {rate:.2f} kg of `{resin}` an hour on press `{press}`: {rate * hours:.1f} kg in "
        f"{hours:.1f} h ({terms.drying_hours:g} h of drying{alone}), and its dryer holds {terms.dryer_kg:g} kg",
        f"give it a dryer of at least {rate * hours:.1f} kg, or a slower press",
    )


def _both_at_once(campaign: Campaign, tool: str, one: str, other: str) -> Problem:
    return Problem(
        pointer("resins", other, "dryer"),
        f"tool `{tool}` moulds `{one}` and `{other}` in one shot, and both go through dryer "
        f"`{dryer_of(campaign, other)}`, which holds one resin at a time",
        "give one of them another dryer",
    )


def _pinned(campaign: Campaign, needs: Needs) -> list[Problem]:
    found = []
    for press, machine in campaign.presses.items():
        for n, begun in enumerate(machine.begins_with):
            run = (begun.tool, tuple(begun.colours))
            if run not in needs.runs or press not in fitting(campaign, begun.tool):
                continue
            resin = outruns_dryer(campaign, begun.tool, press, needs.melts[run], needs.runs[run])
            if resin is not None:
                found.append(
                    Problem(
                        pointer("presses", press, "begins_with", n, "tool"),
                        f"on press `{press}` tool `{begun.tool}` draws `{resin}` faster than its dryer dries",
                        "pin it on a slower press, or give the resin a larger dryer (`dryer_kg`)",
                    )
                )
    return found


def _waits(campaign: Campaign, needs: Needs) -> Iterator[Problem]:
    """Dried resins that would have to stay in their dryer too long, by the hours of people."""
    if campaign.floor.attended is None:
        return
    alone: dict[str, int] = {}
    for (tool, _), melts in needs.melts.items():
        for resin in {melt.rsplit("/", 1)[0] for melt in melts} & set(campaign.resins):
            if campaign.resins[resin].drying_hours > 0:
                longest = max((lights_out_seconds(campaign, press) for press in fitting(campaign, tool)), default=0)
                alone[resin] = max(alone.get(resin, 0), longest)
    gaps = _gaps(campaign) if alone else []
    for resin, lights_out in sorted(alone.items()):
        hours, keeps = campaign.resins[resin].drying_hours, keeps_hours(campaign, resin)
        drying = hours * 3600
        stay = drying  # the first hours of a day live on what was filled in before
        for gap in gaps:
            works = min(lights_out + BEFORE_LEAVING_S, gap)
            stay = max(stay, works - drying if gap - works >= drying else gap)
        if stay > keeps * 3600 + 1:
            yield Problem(
                pointer("resins", resin, "dried_keeps_hours"),
                f"dried `{resin}` would stay in its dryer up to {stay / 3600:.1f} h while nobody is there to fill in "
                f"fresh, and it may {keeps:g} h",
                "say how long it may stay by its data sheet, let its presses run fewer hours lights out, or have "
                "somebody there more often (`floor.attended`)",
            )


def _gaps(campaign: Campaign) -> list[int]:
    """Seconds between two times at which somebody is there to fill dryers."""
    assert campaign.floor.attended is not None
    clock = Clock.starting(campaign.start, campaign.time_zone)
    shifts = stretches(campaign.floor.attended, campaign.closed_days, clock, timedelta(days=DAYS_LOOKED_AT).days)
    return [after.start - max(one.start, one.end - BEFORE_LEAVING_S) for one, after in pairwise(shifts)]
