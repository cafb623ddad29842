"""Several carriers, promises by region and to the door, waves: what makes no sense together."""

from collections.abc import Iterator

from planner.campaign.carriers import ELSEWHERE
from planner.campaign.document import Campaign
from planner.campaign.pointers import pointer
from planner.errors import Problem
from planner.reading.checks.rates import place_problem

MOST_LEG_DAYS = 365


def check(campaign: Campaign) -> list[Problem]:
    """Carriers by themselves and beside each other, and what tiers promise where."""
    return [*_carriers(campaign), *_promises(campaign)]


def _carriers(campaign: Campaign) -> Iterator[Problem]:
    if not campaign.carriers:
        return
    for field in ("carrier", "pick_ups"):
        if getattr(campaign, field).model_fields_set:
            yield Problem(
                pointer(field),
                f"`{field}` is for campaigns with one carrier; this one lists several under `carriers`",
                f"say it of each of them, and take `{field}` out",
            )
    without = [name for name, own in campaign.carriers.items() if not own.rates]
    if without and len(without) < len(campaign.carriers):
        yield Problem(
            pointer("carriers", without[0], "rates"),
            f"carrier `{without[0]}` gives no rates, others do: which one is cheaper cannot be said",
            "give each carrier its rates, or none",
        )
    for name, own in campaign.carriers.items():
        for k, place in enumerate(own.to):
            yield from place_problem(campaign, place, pointer("carriers", name, "to", k))
        for n, leg in enumerate(own.legs):
            if not 0 <= leg.days[0] <= leg.days[1] <= MOST_LEG_DAYS:
                yield Problem(
                    pointer("carriers", name, "legs", n, "days"),
                    f"{leg.days[0]} to {leg.days[1]} days {leg.what}",
                    f"give the fewest days first, then the most, from 0 to {MOST_LEG_DAYS}",
                )


def _promises(campaign: Campaign) -> Iterator[Problem]:
    for name, tier in campaign.tiers.items():
        for region in tier.promised_in:
            if region not in campaign.regions and region != ELSEWHERE:
                yield Problem(
                    pointer("tiers", name, "promised_in", region),
                    f"`{region}` is none of the campaign's regions",
                    "name a region of `regions`, or `world` for countries that none of them lists",
                )
        if tier.promised_to == "door" and tier.promised is None and not tier.promised_in:
            yield Problem(
                pointer("tiers", name, "promised_to"),
                f"tier `{name}` says where its promise is kept, and promises no day",
                "give the day in `promised` or `promised_in`, or leave `promised_to` out",
            )
