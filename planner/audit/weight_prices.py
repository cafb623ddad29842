"""What a kilogram of resin or masterbatch costs where its price falls with the order: worked out anew (RULES.md,
M1.2)."""

from collections import defaultdict
from collections.abc import Iterable
from fractions import Fraction
from typing import TYPE_CHECKING

from planner.audit.figures import exact, whole_up
from planner.campaign import Campaign
from planner.campaign.materials import Bought

if TYPE_CHECKING:
    from planner.audit.case import Work

HAIR = Fraction(1, 10**6)


def at_order_prices(campaign: Campaign, works: Iterable["Work"]) -> Campaign:
    """The campaign with price and smallest order of what has price breaks, by what the plan's runs mould of it."""
    if not any(one.price_breaks for one in (*campaign.resins.values(), *campaign.colours.values())):
        return campaign
    kg: dict[tuple[str, str], Fraction] = defaultdict(Fraction)
    for work in works:
        for melt, grams in zip(work.melts, work.shot_g, strict=True):
            resin, colour = melt
            natural = campaign.resins[resin].natural_colour == colour
            share = Fraction(0) if natural else exact(campaign.colours[colour].let_down_percent) / 100
            kg["resin", resin] += work.run.shots * grams / 1000 * (1 - share)
            kg["masterbatch", colour] += work.run.shots * grams / 1000 * share
    return campaign.model_copy(
        update={
            "resins": {n: one.model_copy(update=_order(one, kg["resin", n])) for n, one in campaign.resins.items()},
            "colours": {
                n: one.model_copy(update=_order(one, kg["masterbatch", n])) for n, one in campaign.colours.items()
            },
        }
    )


def _order(one: Bought, moulded: Fraction) -> dict[str, float]:
    if not one.price_breaks:
        return {}
    coming = sum((exact(arrival.amount) for arrival in one.arrivals), Fraction(0))
    short = moulded - exact(one.stock_kg) - coming
    if short <= HAIR:
        return {"price_per_kg": _price(one, coming)}
    bag = exact(one.bag_kg)
    least = whole_up((max(short, exact(one.min_order_kg)) - HAIR) / bag) * bag
    best, cost = least, least * exact(_price(one, least))
    for step in one.price_breaks:
        size = whole_up((exact(step.kg) - HAIR) / bag) * bag
        money = size * exact(_price(one, size))
        if size > least and (money, size) < (cost, best):
            best, cost = size, money
    raised = {"min_order_kg": float(best)} if best > least else {}
    return {"price_per_kg": _price(one, best), **raised}


def _price(one: Bought, kg: Fraction) -> float:
    steps = sorted((step.kg, step.price_per_kg) for step in one.price_breaks if exact(step.kg) <= kg + HAIR)
    return steps[-1][1] if steps else one.price_per_kg
