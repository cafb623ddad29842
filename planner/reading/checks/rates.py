"""Rates: places that are known, steps that rise, and a rate for every parcel."""

from collections.abc import Hashable, Iterator
from itertools import pairwise

from planner.campaign.document import Campaign
from planner.campaign.orders import contents_of
from planner.campaign.pointers import pointer
from planner.demand.cartons import of_products
from planner.demand.items import ordered_items
from planner.demand.parts import CouldBeReady, alike, order_parts
from planner.demand.postage import charged_kg, postage
from planner.errors import Problem

MOST_SHOWN = 20


def check(campaign: Campaign) -> list[Problem]:
    """Each rate by itself."""
    problems = []
    for n, rate in enumerate(campaign.carrier.rates):
        for k, place in enumerate(rate.to):
            if place not in campaign.regions and not (len(place) == 2 and place.isalpha() and place.isupper()):
                problems.append(
                    Problem(
                        pointer("carrier", "rates", n, "to", k),
                        f"`{place}` is neither a country nor one of the campaign's regions",
                        "write a country as two capitals, such as DE, or the name of a region",
                    )
                )
        for k, (one, other) in enumerate(pairwise(rate.steps), start=1):
            if other.up_to_kg <= one.up_to_kg:
                problems.append(
                    Problem(
                        pointer("carrier", "rates", n, "steps", k, "up_to_kg"),
                        f"{other.up_to_kg:g} kg comes after {one.up_to_kg:g} kg",
                        "list the steps by weight, the lightest first",
                    )
                )
        if rate.door_days is not None and not 0 <= rate.door_days[0] <= rate.door_days[1] <= 365:
            problems.append(
                Problem(
                    pointer("carrier", "rates", n, "door_days"),
                    f"{rate.door_days[0]} to {rate.door_days[1]} days to the door",
                    "give the fewest days first, then the most, from 0 to 365",
                )
            )
    return problems


def check_parcels(campaign: Campaign) -> list[Problem]:
    """Parcels that no rate takes. For campaigns whose names are sound."""
    return [problem for problem, _ in zip(_untaken(campaign), range(MOST_SHOWN), strict=False)]


def _untaken(campaign: Campaign) -> Iterator[Problem]:
    if not campaign.carrier.rates:
        return
    ready = CouldBeReady(campaign, ordered_items(campaign))
    seen: set[Hashable] = set()
    told: set[tuple[float, str]] = set()
    for line in campaign.orders:
        key = contents_of(line), line.country
        if key in seen:
            continue
        seen.add(key)
        for part in order_parts(campaign, ready, alike(campaign, line)):
            kg = charged_kg(campaign, line.tier, of_products(part.units), part.pieces)
            if postage(campaign, kg, line.country) is None and (kg, line.country) not in told:
                told.add((kg, line.country))
                yield Problem(
                    pointer("carrier", "rates"),
                    f"no rate takes a parcel of {kg:g} kg to {line.country} (tier `{line.tier}`)",
                    f"add a rate that is for {line.country}, or a step of {kg:g} kg or more to one that is",
                )
