"""Orders whose colourway was open, once it is known (RULES.md, S10.5): in the colourway that they then have, moulded
with all others of it."""

from collections.abc import Mapping, Sequence

from planner.campaign import Campaign
from planner.campaign.order_of_work import OrderOfWork
from planner.campaign.orders import OrderLine
from planner.campaign.uncertainty import OpenBetween, Settled, TurnsOut

Colourways = Mapping[str, Mapping[str, str]]
"""Product -> open colourway -> the one it is."""


def outcome_number(one: Settled, outcome: str) -> int:
    """Place of an outcome among all."""
    return list(one.outcomes).index(outcome)


def decided(campaign: Campaign, one: Settled, outcome: str) -> Campaign:
    """The campaign in which open orders have the colourway of an outcome; open colourways and colours are gone."""
    if one.between is None:
        return campaign
    n = outcome_number(one, outcome)
    became = {
        product: {called: ways[n] for called, ways in named.items()}
        for product, named in one.between.colourways.items()
    }
    colours = {called: ways[n] for called, ways in one.between.colours.items()}
    products = dict(campaign.products)
    for product, named in became.items():
        made = products[product]
        update: dict[str, object] = {
            field: {name: value for name, value in getattr(made, field).items() if name not in named}
            for field in ("colourways", "finished_in")
            if getattr(made, field)
        }
        products[product] = made.model_copy(update=update)
    presses = {
        name: press.model_copy(
            update={
                "begins_with": [
                    run.model_copy(update={"colours": _renamed(run.colours, colours)}) for run in press.begins_with
                ]
            }
        )
        if press.begins_with
        else press
        for name, press in campaign.presses.items()
    }
    return campaign.model_copy(
        update={
            "orders": [_in_colourways(line, became) for line in campaign.orders],
            "products": products,
            "presses": presses,
            "colours": {name: colour for name, colour in campaign.colours.items() if name not in colours},
        }
    )


def as_ordered(campaign: Campaign) -> Campaign:
    """The campaign as it stood before reading told open orders apart: in the colourway that is counted on, with nothing
    in it that reading wrote. Presses begin with what they did."""
    unsure = campaign.uncertainty
    for name, one in unsure.settled.items() if unsure is not None else ():
        if one.between is None:
            continue
        joined = decided(campaign, one, next(iter(one.outcomes)))
        assert joined.uncertainty is not None
        settled = joined.uncertainty.settled | {name: _untold(one, one.between)}
        unsure = joined.uncertainty.model_copy(update={"settled": settled})
        campaign = joined.model_copy(update={"uncertainty": unsure, "presses": campaign.presses})
    return campaign


def _untold(one: Settled, between: OpenBetween) -> Settled:
    """Without what reading wrote of it."""
    outcomes = {
        outcome_id: outcome.model_copy(
            update={"recipes": {of: recipe for of, recipe in outcome.recipes.items() if of not in between.colours}}
        )
        if outcome.recipes
        else outcome
        for outcome_id, outcome in one.outcomes.items()
    }
    found = one.model_copy(update={"outcomes": outcomes, "between": None})
    found.model_fields_set.discard("between")
    return found


def as_decided(order: OrderOfWork, one: Settled, outcome: str) -> OrderOfWork:
    """An order of work with the colours that open ones then are."""
    if one.between is None:
        return order
    n = outcome_number(one, outcome)
    colours = {called: ways[n] for called, ways in one.between.colours.items()}
    presses = {
        press: [run.model_copy(update={"colours": _renamed(run.colours, colours)}) for run in runs]
        for press, runs in order.presses.items()
    }
    return order.model_copy(update={"presses": presses})


def move_words(outcome: TurnsOut) -> list[str]:
    """What an outcome moves, in words: `400 orders of pot from cream to moss`."""
    return [
        f"{move.orders:,} {'order' if move.orders == 1 else 'orders'} of {move.product}"
        f"{f' in tier {move.tier}' if move.tier else ''} from {move.colourway} to {move.becomes}"
        for move in outcome.moves
    ]


def _in_colourways(line: OrderLine, became: Colourways) -> OrderLine:
    if not any(product in units for units in (line.units, line.extra_units) for product in became):
        return line

    def told(units: Mapping[str, Sequence[str]]) -> dict[str, list[str]]:
        return {product: [became.get(product, {}).get(one, one) for one in chosen] for product, chosen in units.items()}

    return line.model_copy(update={"units": told(line.units), "extra_units": told(line.extra_units)})


def _renamed(colours: Sequence[str], became: Mapping[str, str]) -> list[str]:
    return [became.get(colour, colour) for colour in colours]
