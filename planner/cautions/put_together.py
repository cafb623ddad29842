"""Cautions about what is put together already and whose parts or pieces would be made or bought again."""

from collections.abc import Iterator

from planner.campaign import Campaign
from planner.demand.put_together import not_in_stock
from planner.plan.document import Caution


def made_again(campaign: Campaign) -> Iterator[Caution]:
    """One for each part and piece that stock does not cover."""
    for short in not_in_stock(campaign):
        yield Caution(
            about=f"{short.what} in hand",
            text=f"What is put together already holds {short.needed} of `{short.of}`, and {short.there} are said to be "
            "in stock. What is in it counts only if it stands in `stock` too: as it is, the rest is made or bought "
            "again.",
            source="the campaign's own figures",
        )
