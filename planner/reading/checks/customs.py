"""Customs facts: countries that are none."""

from collections.abc import Iterator, Sequence

from planner.campaign.document import Campaign
from planner.campaign.orders import AlikeLines
from planner.campaign.pointers import pointer
from planner.dispatch.countries import NAMES
from planner.errors import Problem

REMEDY = "use its two-letter code of ISO 3166-1, e.g. GB"


def check(campaign: Campaign, lines: Sequence[AlikeLines]) -> list[Problem]:
    """Codes outside ISO 3166-1, where customs facts are asked for. lines: all that are ordered."""
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
        *_orders(lines),
    ]


def _orders(lines: Sequence[AlikeLines]) -> Iterator[Problem]:
    told = set()
    for some in lines:  # in the order of their first lines, so that a country's first one is among them
        country = some.first.country
        if country not in told:
            told.add(country)
            yield from _named(("orders", some.place, "country"), country)


def _named(steps: tuple[str | int, ...], code: str) -> Iterator[Problem]:
    if code not in NAMES:
        yield Problem(pointer(*steps), f"{code} is no country of ISO 3166-1", REMEDY)
