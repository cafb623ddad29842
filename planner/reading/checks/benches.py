"""Benches and pick-ups: whether they ever open, and whether the work and the parcels fit in."""

from datetime import timedelta

from planner.calendars.pickups import pickups
from planner.calendars.places import wall
from planner.campaign.benches import Bench
from planner.campaign.document import Campaign
from planner.campaign.inspection import Inspection
from planner.campaign.pointers import pointer
from planner.demand.carriers import takers
from planner.errors import Problem
from planner.reading.checks.hours import OpenHours, clock_of, in_words, look_days
from planner.reading.checks.needs import Needs

MOST_BATCHES = 20_000


def check(campaign: Campaign, needs: Needs) -> list[Problem]:
    """Assembly, packing, pick-ups."""
    assembly = 60 * sum(
        campaign.products[p].assembly_minutes * max(0, n - campaign.products[p].assembled.get(colourway, 0))
        for (p, colourway), n in needs.units.items()
    )
    assembly += sum(_inspected_here(campaign.parts[part].inspection) for part in needs.asked)  # a moment at the least
    packing = 60 * sum(campaign.tiers[t].pack_minutes * n for t, n in needs.parcels.items())
    return [
        *_bench(campaign, "assembly", campaign.assembly, assembly),
        *_bench(campaign, "packing", campaign.packing, packing),
        *_pick_ups(campaign, sum(needs.parcels.values())),
    ]


def _inspected_here(wanted: Inspection | None) -> bool:
    """Whether the assembly bench has any minutes of it."""
    if wanted is None or wanted.at != "assembly":
        return False
    return wanted.minutes + wanted.lot_minutes + wanted.off_minutes > 0


def _bench(campaign: Campaign, section: str, bench: Bench, work: float) -> list[Problem]:
    hours = OpenHours(campaign, bench, bench.people)
    if work and not hours.longest():
        return [
            Problem(
                pointer(section, "hours"),
                f"the {section} bench never opens",
                'give it hours and people, e.g. {"mon-fri": "08:00-16:00 x2"}; mind `closed_days` and `on_dates`',
            )
        ]
    if not hours.enough(work):
        return [
            Problem(
                pointer(section),
                f"{section} takes {in_words(work)} of one person's work; "
                f"the bench has {in_words(hours.seconds())} in the next ten years",
                "check the minutes and order counts, or give the bench more people or hours",
            )
        ]
    return []


def _pick_ups(campaign: Campaign, parcels: int) -> list[Problem]:
    clock = clock_of(campaign)
    beside, closed = wall(campaign, campaign.packing, clock)
    room, comes = 0, 0
    for taker in takers(campaign):
        moments: tuple[int, ...] = ()
        for days in look_days(campaign, taker.pick_ups.on_dates):  # most leave within the first of them
            moments = pickups(taker.pick_ups, closed, beside, days)
            if moments and parcels <= len(moments) * taker.pick_ups.parcels:
                break
        if not moments and not taker.comes:
            continue  # it takes no parcel either
        if not moments:
            return [
                Problem(
                    taker.picked_up_at + pointer("days"),
                    "no pick-up ever comes, so no parcel leaves",
                    "name weekdays under `days`, or dates from "
                    f"{clock.first_day + timedelta(days=1)} under `on_dates`; mind `closed_days` and `not_on`",
                )
            ]
        room += len(moments) * taker.pick_ups.parcels
        comes += len(moments)
    most = max(taker.pick_ups.parcels for taker in takers(campaign))
    if parcels > room:
        return [
            Problem(
                takers(campaign)[0].picked_up_at + pointer("parcels"),
                f"{parcels} parcels cannot leave: {comes} pick-ups in the next ten years take {most} each",
                "let a pick-up take more parcels, or add pick-up days",
            )
        ]
    if parcels > MOST_BATCHES * min(most, campaign.packing.batch_parcels):
        return [
            Problem(
                pointer("packing", "batch_parcels"),
                f"{parcels} parcels in batches of {campaign.packing.batch_parcels} make more than {MOST_BATCHES} "
                "pack batches",
                "pack more parcels in one go",
            )
        ]
    return []
