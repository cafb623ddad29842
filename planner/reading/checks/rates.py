"""Rates: places that are known, steps that rise, and a rate for every parcel."""

from collections.abc import Hashable, Iterator, Sequence
from itertools import pairwise

from planner.campaign.document import Campaign
from planner.campaign.orders import AlikeLines, OrderLine, merged
from planner.campaign.pointers import pointer
from planner.campaign.products import Tier
from planner.demand.carriers import Taker, takers, way_for
from planner.demand.cartons import of_products
from planner.demand.items import ordered_items
from planner.demand.parts import CouldBeReady, alike, order_parts
from planner.demand.postage import charged_kg
from planner.errors import Problem

MOST_SHOWN = 20


def check(campaign: Campaign) -> list[Problem]:
    """Each rate by itself, of whichever carrier."""
    return [problem for taker in takers(campaign) for problem in _rates(campaign, taker)]


def place_problem(campaign: Campaign, place: str, at: str) -> Iterator[Problem]:
    """What is neither a country nor a region."""
    if place not in campaign.regions and not (len(place) == 2 and place.isalpha() and place.isupper()):
        yield Problem(
            at,
            f"`{place}` is neither a country nor one of the campaign's regions",
            "write a country as two capitals, such as DE, or the name of a region",
        )


def _rates(campaign: Campaign, taker: Taker) -> Iterator[Problem]:
    for n, rate in enumerate(taker.said.rates):
        here = taker.at + pointer("rates", n)
        for k, place in enumerate(rate.to):
            yield from place_problem(campaign, place, here + pointer("to", k))
        for k, (one, other) in enumerate(pairwise(rate.steps), start=1):
            if other.up_to_kg <= one.up_to_kg:
                yield Problem(
                    here + pointer("steps", k, "up_to_kg"),
                    f"{other.up_to_kg:g} kg comes after {one.up_to_kg:g} kg",
                    "list the steps by weight, the lightest first",
                )
        if rate.door_days is not None and not 0 <= rate.door_days[0] <= rate.door_days[1] <= 365:
            yield Problem(
                here + pointer("door_days"),
                f"{rate.door_days[0]} to {rate.door_days[1]} days to the door",
                "give the fewest days first, then the most, from 0 to 365",
            )


def check_parcels(campaign: Campaign, lines: Sequence[AlikeLines]) -> list[Problem]:
    """Parcels that no rate takes. For campaigns whose names are sound. lines: all that are ordered."""
    return [problem for problem, _ in zip(_untaken(campaign, lines), range(MOST_SHOWN), strict=False)]


def _untaken(campaign: Campaign, lines: Sequence[AlikeLines]) -> Iterator[Problem]:
    if not campaign.carrier.rates and not campaign.carriers and not any(map(_to_door, campaign.tiers.values())):
        return
    ready = CouldBeReady(campaign, ordered_items(campaign.model_copy(update={"orders": merged(lines)})))
    told: set[Hashable] = set()
    for some in lines:
        line = some.first
        for part in order_parts(campaign, ready, alike(campaign, line)):
            products = of_products(part.units)
            way = way_for(campaign, line.tier, products, part.pieces, line.country)
            if way is None:
                names = [taker.name for taker in takers(campaign)]
                kg = charged_kg(campaign, line.tier, products, part.pieces, names[0])
                if (kg, line.country) not in told:
                    told.add((kg, line.country))
                    yield _nobody(campaign, kg, line)
            elif _to_door(campaign.tiers[line.tier]) and way.door_days is None and way.carrier not in told:
                told.add(way.carrier)
                yield Problem(
                    pointer("carriers", way.carrier, "rates") if way.carrier else pointer("carrier", "rates"),
                    f"tier `{line.tier}` promises days at the door, but how long parcels take to {line.country} isn't "
                    "said",
                    "give the rate its `door_days`, or promise the hand-over: `promised_to: hand-over`",
                )


def _to_door(tier: Tier) -> bool:
    return tier.promised_to == "door" and (tier.promised is not None or bool(tier.promised_in))


def _nobody(campaign: Campaign, kg: float, line: OrderLine) -> Problem:
    if campaign.carriers:
        return Problem(
            pointer("carriers"),
            f"no carrier takes a parcel of {kg:g} kg to {line.country} (tier `{line.tier}`)",
            f"let one of them go `to` {line.country}, with a rate of that weight, limits that allow it and a carton",
        )
    return Problem(
        pointer("carrier", "rates"),
        f"no rate takes a parcel of {kg:g} kg to {line.country} (tier `{line.tier}`)",
        f"add a rate that is for {line.country}, or a step of {kg:g} kg or more to one that is",
    )
