"""Price breaks of what is bought by weight: which size an order has at the least, and at which price (RULES.md, M1.2).

An order of work changes what is purged, and with it how much is bought; what is moulded it does not change. So the
price goes by that, and what purges add is bought at it.
"""

from collections import defaultdict
from math import ceil
from typing import Literal, TypeVar

from planner.campaign import Campaign
from planner.campaign.fit import shot_mass_g
from planner.campaign.materials import Bought
from planner.campaign.melts import let_down
from planner.demand.items import run_demands
from planner.material.buying import TOLERANCE, order_quantity

Section = Literal["resins", "colours"]
AnyBought = TypeVar("AnyBought", bound=Bought)


def with_price_breaks(campaign: Campaign) -> Campaign:
    """The campaign with each price and smallest order as its price breaks have them; put in again, it stays so."""
    sections: tuple[Section, ...] = ("resins", "colours")
    if not any(one.price_breaks for section in sections for one in getattr(campaign, section).values()):
        return campaign
    moulded = moulded_kg(campaign)
    return campaign.model_copy(
        update={
            section: {name: _settled(one, moulded[section, name]) for name, one in getattr(campaign, section).items()}
            for section in sections
        }
    )


def moulded_kg(campaign: Campaign) -> defaultdict[tuple[Section, str], float]:
    """(section, id) -> kg in all production shots, runners included."""
    found: defaultdict[tuple[Section, str], float] = defaultdict(float)
    for run in run_demands(campaign):
        grams = shot_mass_g(campaign, campaign.tools[run.tool])
        for melt, shot in zip(run.melts, grams, strict=False):
            resin, colour = melt.rsplit("/", 1)
            share, kg = let_down(campaign, resin, colour), run.shots * shot / 1000
            found["resins", resin] += kg * (1 - share)
            found["colours", colour] += kg * share
    return found


def cheapest_order_kg(bought: Bought, short_kg: float) -> tuple[float, float]:
    """(kg, price per kg) of the order that covers what is short and costs least in all; of equals the smaller."""
    least = order_quantity(short_kg, bought.bag_kg, bought.min_order_kg)
    if not least:
        return 0.0, price_at(bought, sum(arrival.amount for arrival in bought.arrivals))
    bags = (ceil((step.kg - TOLERANCE) / bought.bag_kg) * bought.bag_kg for step in bought.price_breaks)
    sizes = [least, *(size for size in bags if size > least)]
    best = min(sizes, key=lambda size: (size * price_at(bought, size), size))
    return best, price_at(bought, best)


def price_at(bought: Bought, kg: float) -> float:
    """Money for each kg of an order of so many."""
    reached = [step for step in bought.price_breaks if step.kg <= kg + TOLERANCE]
    return max(reached, key=lambda step: step.kg).price_per_kg if reached else bought.price_per_kg


def _settled(bought: AnyBought, moulded: float) -> AnyBought:
    if not bought.price_breaks:
        return bought
    coming = sum(arrival.amount for arrival in bought.arrivals)
    least = order_quantity(moulded - bought.stock_kg - coming, bought.bag_kg, bought.min_order_kg)
    kg, price = cheapest_order_kg(bought, moulded - bought.stock_kg - coming)
    raised = {"min_order_kg": kg} if kg > least else {}
    return bought.model_copy(update={"price_per_kg": price, **raised})
