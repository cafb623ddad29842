"""Roughly how many days the work of a campaign takes: calendars grow with it where that is long.

Presses, benches and pick-ups are counted one after the other, by their hours of an ordinary week: too many days rather
than too few.
"""

from collections import Counter
from math import ceil

from planner.campaign import Campaign
from planner.campaign.fit import fitting
from planner.campaign.hours import Open, weekly
from planner.demand.carriers import takers
from planner.demand.items import good_parts, ordered_items, units_of
from planner.demand.shared_parts import able_makers

LONG_WORK_DAYS = 200
"""Work of fewer days has room in the calendars as they are."""

WEEK = 7


def long_work_days(campaign: Campaign) -> int:
    """Days of all its work, closed days too; 0 where they are few."""
    days = len(campaign.closed_days) + _press_days(campaign) + _bench_days(campaign) + _pickup_days(campaign)
    return ceil(days) if days >= LONG_WORK_DAYS else 0


def _week_s(open_: Open, people: int = 1) -> int:
    """Person-seconds of an ordinary week."""
    spans = [span for day in weekly(open_.hours).values() for span in day]
    return sum((span.end - span.start) * 60 * (span.people if span.people is not None else people) for span in spans)


def _press_days(campaign: Campaign) -> float:
    """Days until the last press is done, each tool on the press that would be done first with it."""
    there = campaign.floor.attended
    weeks = {name: _week_s(press) for name, press in campaign.presses.items()}
    if there is not None:
        attended = _week_s(there)
        own = {name for name, press in campaign.presses.items() if press.place is None and press.lights_out is None}
        weeks |= {name: min(weeks[name], attended) for name in own}
    done = dict.fromkeys(campaign.presses, 0.0)
    for tool, seconds in sorted(_moulding_s(campaign).items(), key=lambda pair: (-pair[1], pair[0])):
        fits = [press for press in fitting(campaign, tool) if weeks[press]]
        after = {press: done[press] + seconds / campaign.presses[press].efficiency / weeks[press] for press in fits}
        if after:
            first = min(after, key=lambda press: (after[press], press))
            done[first] = after[first]
    return WEEK * max(done.values())


def _moulding_s(campaign: Campaign) -> Counter[str]:
    """Tool -> seconds of its cycles, the shots of each set of colours those that its parts ask for on average."""
    shots: dict[tuple[str, tuple[str, ...]], float] = {}
    makers = able_makers(campaign)
    for (part, colours), ordered in ordered_items(campaign).items():
        *_, wanted = good_parts(campaign, part, colours, ordered)
        if not wanted:
            continue
        tool = makers[part][0]
        cavities, scrap = campaign.tools[tool].open_cavities(part), campaign.tools[tool].scrap_share
        if cavities and scrap < 1:
            run = tool, colours
            shots[run] = max(shots.get(run, 0.0), wanted / (1 - scrap) / cavities)
    seconds: Counter[str] = Counter()
    for (tool, _), number in shots.items():
        seconds[tool] += ceil(number * campaign.tools[tool].cycle_s)
    return seconds


def _bench_days(campaign: Campaign) -> float:
    """Days of each bench, one after the other."""
    assembly = packing = 0.0
    finishing: Counter[str] = Counter()
    for line in campaign.orders:
        packing += campaign.tiers[line.tier].pack_minutes * line.count
        for (product, _), number in units_of(line).items():
            made, units = campaign.products[product], number * line.count
            assembly += made.assembly_minutes * units
            for sub in made.sub_assemblies.values():
                finishing[sub.at] += ceil(sub.minutes * units)
            for part, each in made.parts.items():
                for step in campaign.parts[part].finishing:
                    finishing[step.at] += ceil(step.minutes * each * units)
    benches = [(campaign.assembly, assembly), (campaign.packing, packing)]
    benches += [(bench, float(finishing[name])) for name, bench in campaign.finishing_benches.items()]
    weeks = [(_week_s(bench, bench.people), minutes) for bench, minutes in benches]
    return WEEK * sum(60 * minutes / week for week, minutes in weeks if week)


def _pickup_days(campaign: Campaign) -> float:
    """Days of the slowest carrier, if it took everything."""
    parcels = 0
    for line in campaign.orders:
        split = campaign.tiers[line.tier].split
        parcels += line.count * (split.parcels if split is not None and split.ship == "in parts" else 1)
    a_week = [len(taker.pick_ups.days) * taker.pick_ups.parcels for taker in takers(campaign)]
    return WEEK * parcels / min(one for one in a_week if one) if any(a_week) else 0.0
