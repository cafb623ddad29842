"""Cartons: whether each tier names some that are cartons, and whether one of them takes every parcel."""

from collections import Counter
from collections.abc import Iterator, Sequence

from planner.campaign.document import Campaign
from planner.campaign.orders import AlikeLines
from planner.campaign.pointers import pointer
from planner.demand.cartons import box_for
from planner.errors import Problem
from planner.reading.checks.needs import Contents, Needs

MOST_SHOWN = 50


def check_cartons(campaign: Campaign, lines: Sequence[AlikeLines]) -> list[Problem]:
    """Cartons without an inside, cartons in the wrong place, products of unknown size. lines: all that are ordered."""
    problems: list[Problem] = []
    ordered = {some.first.tier for some in lines}
    for name, tier in campaign.tiers.items():
        if name not in ordered:
            continue
        for n, carton in enumerate(tier.cartons):
            if carton in campaign.pieces and campaign.pieces[carton].carton is None:
                problems.append(
                    Problem(
                        pointer("tiers", name, "cartons", n),
                        f"bought-in piece `{carton}` doesn't say what it holds, so nothing can be fitted into it",
                        f"give `{carton}` a `carton` with inside and tare, or name it under `pieces`",
                    )
                )
        for piece in tier.pieces:
            if piece in campaign.pieces and campaign.pieces[piece].carton is not None:
                problems.append(
                    Problem(
                        pointer("tiers", name, "pieces", piece),
                        f"`{piece}` is a carton; as one of tier `{name}`'s pieces it would be packed like a leaflet",
                        "name it under the tier's `cartons`",
                    )
                )
        if tier.cartons:
            problems += [
                Problem(
                    pointer("products", product),
                    f"tier `{name}` chooses cartons, but product `{product}` has no size",
                    "give the product its `packed_mm`, or take the tier's `cartons` out",
                )
                for product in tier.units
                if product in campaign.products and campaign.products[product].packed_mm is None
            ]
    return [*problems, *_added_on(campaign, lines)]


def _added_on(campaign: Campaign, lines: Sequence[AlikeLines]) -> Iterator[Problem]:
    """Add-ons that are the tier's own cartons, or units without a size."""
    told: set[tuple[str, str]] = set()
    for some in lines:
        n, line = some.place, some.first
        tier = campaign.tiers.get(line.tier)
        cartons = tier.cartons if tier is not None else []
        for piece in line.extra_pieces:
            if piece in cartons and (line.tier, piece) not in told:
                told.add((line.tier, piece))
                yield Problem(
                    pointer("orders", n, "extra_pieces", piece),
                    f"`{piece}` is a carton that tier `{line.tier}` chooses from, so it can't be an add-on of its own",
                    "give the add-on an id of its own",
                )
        for product in line.extra_units if cartons else ():
            made = campaign.products.get(product)
            if made is not None and made.packed_mm is None and (line.tier, product) not in told:
                told.add((line.tier, product))
                yield Problem(
                    pointer("orders", n, "extra_units", product),
                    f"tier `{line.tier}` chooses cartons, but its add-on `{product}` has no size",
                    "give the product its `packed_mm`",
                )


def check_fit(campaign: Campaign, needs: Needs) -> list[Problem]:
    """Contents that no carton of their tier takes, with the reason against each."""
    problems = []
    for tier, products, pieces in sorted(needs.contents):
        tried = [box_for(campaign, tier, products, pieces, name) for name in campaign.carriers or ("",)]
        box = tried[0]
        if box is None or any(other is None or other.carton is not None for other in tried):
            continue
        said = ", ".join(f"{n} {what}" for what, n in (*products, *pieces))
        why = "; ".join(f"`{carton}`: {reason}" for carton, reason in box.tried)
        problems.append(
            Problem(
                pointer("tiers", tier, "cartons"),
                f"no carton of tier `{tier}` takes {said} ({why})",
                "add a carton that does, or correct `packed_mm`, `inside_mm` and the carrier's limits",
            )
        )
    return problems[:MOST_SHOWN]


def cartons_used(campaign: Campaign, needs: Needs) -> Counter[str]:
    """Carton -> how many the parcels take, where that doesn't hang on whom each goes with."""
    used: Counter[str] = Counter()
    contents: Contents
    for contents, orders in needs.contents.items() if not campaign.carriers else ():
        box = box_for(campaign, *contents)
        if box is not None and box.carton is not None:
            used[box.carton.id] += orders
    return used
