"""Order lines: tiers, colourways, add-ons."""

from collections import Counter
from collections.abc import Container, Hashable, Iterator, Sequence
from dataclasses import dataclass

from planner.campaign.document import Campaign
from planner.campaign.orders import AlikeLines, Gone, OrderLine, contents_of, merged
from planner.campaign.pointers import pointer
from planner.errors import Problem
from planner.reading.checks.names import Steps, unknown

MOST_SHOWN = 500
"""Beyond that, further bad lines are counted, not listed: the first ones tell what is wrong."""


@dataclass(frozen=True)
class CheckedOrders:
    """The problems found, and the lines without any, those of the same contents gathered. whole: none has any."""

    problems: list[Problem]
    sound: list[OrderLine]
    whole: bool


def check(campaign: Campaign, lines: Sequence[AlikeLines]) -> CheckedOrders:
    """Every order line against the tiers, products and pieces. lines: all of them."""
    first = {some.contents: some for some in reversed(lines)}
    wrong = {contents for contents, some in first.items() if any(_line(campaign, some.place, some.first))}
    problems = _problems(campaign, wrong) if wrong else []
    return CheckedOrders(problems, merged(s for s in lines if s.contents not in wrong), whole=not problems)


def _problems(campaign: Campaign, wrong: Container[Hashable]) -> list[Problem]:
    """Line by line, of lines of those contents."""
    problems: list[Problem] = []
    unshown = 0
    for n, line in enumerate(campaign.orders):
        if contents_of(line) not in wrong:
            continue
        if len(problems) < MOST_SHOWN:
            problems += _line(campaign, n, line)
        else:
            unshown += 1
    if unshown:
        text = f"{unshown} more order lines have problems, beyond those listed"
        problems.append(Problem("/orders", text, "correct the lines listed and check again"))
    return problems


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
    if tier is not None and not (tier.units or line.units or line.extra_units or line.extra_pieces or tier.pieces):
        yield Problem(
            pointer(*here),
            f"{said} holds nothing: tier `{line.tier}` has no units, and it has no add-ons",
            "name its `extra_units` or `extra_pieces`, or take it out",
        )
    for piece in line.extra_pieces:
        if piece not in campaign.pieces:
            yield unknown(campaign, (*here, "extra_pieces", piece), "pieces", piece)
    if line.gone is not None and tier is not None:
        yield from _gone(here, said, line, line.gone, Counter(tier.pieces) + Counter(line.extra_pieces))


def _gone(here: Steps, said: str, line: OrderLine, gone: Gone, pieces: Counter[str]) -> Iterator[Problem]:
    """What has left must have been ordered, and something must be left to send."""
    ordered: Counter[tuple[str, str]] = Counter()
    for source in (line.units, line.extra_units):
        ordered.update((product, colourway) for product, colourways in source.items() for colourway in colourways)
    left = Counter((product, colourway) for product, colourways in gone.units.items() for colourway in colourways)
    for product, colourway in left - ordered:
        yield Problem(
            pointer(*here, "gone", "units", product),
            f"{said}: more `{product}` in `{colourway}` has left than was ordered",
            "name what left of each order; other orders go into a line of their own",
        )
    for piece in Counter(gone.pieces) - pieces:
        yield Problem(
            pointer(*here, "gone", "pieces", piece),
            f"{said}: more of `{piece}` has left than goes with it",
            "name what left of each order",
        )
    if not ordered - left and (ordered or not pieces - Counter(gone.pieces)):
        yield Problem(pointer(*here, "gone"), f"{said} has got all its units", "take the line out of the orders")
