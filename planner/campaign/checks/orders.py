"""Order lines: tiers, colourways, add-ons."""

from collections.abc import Iterator
from dataclasses import dataclass

from planner.campaign.checks.names import Steps, unknown
from planner.campaign.document import Campaign
from planner.campaign.orders import OrderLine
from planner.campaign.pointers import pointer
from planner.errors import Problem

MOST_SHOWN = 500
"""Beyond that, further bad lines are counted, not listed: the first ones tell what is wrong."""


@dataclass(frozen=True)
class CheckedOrders:
    """The problems found, and the lines without any."""

    problems: list[Problem]
    sound: list[OrderLine]


def check(campaign: Campaign) -> CheckedOrders:
    """Every order line against the tiers, products and pieces."""
    problems: list[Problem] = []
    sound: list[OrderLine] = []
    unshown = 0
    for n, line in enumerate(campaign.orders):
        found = list(_line(campaign, n, line))
        if not found:
            sound.append(line)
        elif len(problems) < MOST_SHOWN:
            problems += found
        else:
            unshown += 1
    if unshown:
        text = f"{unshown} more order lines have problems, beyond those listed"
        problems.append(Problem("/orders", text, "correct the lines listed and check again"))
    return CheckedOrders(problems, sound)


def _line(campaign: Campaign, n: int, line: OrderLine) -> Iterator[Problem]:
    here: Steps = ("orders", n)
    said = f"order `{line.ref}`" if line.ref else f"order line {n + 1}"
    tier = campaign.tiers.get(line.tier)
    if tier is None:
        yield unknown(campaign, (*here, "tier"), "tiers", line.tier)
    else:
        for product, number in tier.units.items():
            chosen = len(line.units.get(product, []))
            if chosen != number:
                yield Problem(
                    pointer(*here, "units", product) if product in line.units else pointer(*here, "units"),
                    f"{said} chooses {chosen} colourway{'' if chosen == 1 else 's'} of `{product}`, "
                    f"tier `{line.tier}` holds {number}",
                    "name the colourway of each unit; units beyond the tier go under `extra_units`",
                )
        for product in line.units:
            if product not in tier.units and product in campaign.products:
                yield Problem(
                    pointer(*here, "units", product),
                    f"{said} has units of `{product}`, which tier `{line.tier}` doesn't hold",
                    "move them to `extra_units`",
                )
    for field, units in (("units", line.units), ("extra_units", line.extra_units)):
        for product, colourways in units.items():
            made = campaign.products.get(product)
            if made is None:
                yield unknown(campaign, (*here, field, product), "products", product)
                continue
            for k, colourway in enumerate(colourways):
                if colourway not in made.colourways:
                    known = ", ".join(f"`{c}`" for c in sorted(made.colourways)[:12])
                    yield Problem(
                        pointer(*here, field, product, k),
                        f"{said} asks for colourway `{colourway}`, in which `{product}` doesn't come",
                        f"use one of {known}",
                    )
    for piece in line.extra_pieces:
        if piece not in campaign.pieces:
            yield unknown(campaign, (*here, "extra_pieces", piece), "pieces", piece)
