"""Cautions about price breaks that say more costs more for each: a figure is likely mistyped."""

from collections.abc import Iterator

from planner.campaign import Campaign
from planner.campaign.price_breaks import Break, dearer_for_more
from planner.plan.document import Caution

SOURCE = "common practice: more seldom costs more for each"


def rising_prices(campaign: Campaign) -> Iterator[Caution]:
    """One for each piece, resin and masterbatch, by the prices as the campaign says them."""
    for name, piece in campaign.pieces.items():
        by_the_piece = [(float(step.pieces), step.price) for step in piece.price_breaks]
        yield from _rising(name, dearer_for_more(piece.price, by_the_piece))
    for section in (campaign.resins, campaign.colours):
        for name, bought in section.items():
            by_the_kg = [(step.kg, step.price_per_kg) for step in bought.price_breaks]
            yield from _rising(name, dearer_for_more(bought.price_per_kg, by_the_kg))


def _rising(name: str, found: tuple[Break, Break] | None) -> Iterator[Caution]:
    if found is not None:
        (_, less), (more, price) = found
        yield Caution(
            about=f"price breaks of {name}",
            text=f"From {more:,g} on each costs {price:g}, and before that {less:g}: more of `{name}` costs more for "
            "each. Is a figure mistyped? The plan buys at these prices.",
            source=SOURCE,
        )
