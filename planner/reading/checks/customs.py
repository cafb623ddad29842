"""Customs facts: countries that are none."""

from collections.abc import Iterator

from planner.campaign.document import Campaign
from planner.campaign.pointers import pointer
from planner.dispatch.countries import NAMES
from planner.errors import Problem

REMEDY = "use its two-letter code of ISO 3166-1, e.g. GB"


def check(campaign: Campaign) -> list[Problem]:
    """Codes outside ISO 3166-1, where customs facts are asked for."""
    if campaign.customs is None:
        return []
    return [
        *_named(("customs", "ships_from"), campaign.customs.ships_from),
        *(
            problem
            for section in ("products", "pieces")
            for name, made in getattr(campaign, section).items()
            if made.declared.origin is not None
            for problem in _named((section, name, "declared", "origin"), made.declared.origin)
        ),
        *_orders(campaign),
    ]


def _orders(campaign: Campaign) -> Iterator[Problem]:
    told = set()
    for n, line in enumerate(campaign.orders):
        if line.country not in told:
            told.add(line.country)
            yield from _named(("orders", n, "country"), line.country)


def _named(steps: tuple[str | int, ...], code: str) -> Iterator[Problem]:
    if code not in NAMES:
        yield Problem(pointer(*steps), f"{code} is no country of ISO 3166-1", REMEDY)
