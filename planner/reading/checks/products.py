"""Parts, products and their colourways."""

from collections.abc import Iterator, Sequence

from planner.campaign.document import Campaign
from planner.campaign.orders import AlikeLines
from planner.campaign.pointers import pointer
from planner.campaign.products import Product
from planner.errors import Problem
from planner.reading.checks.needs import Needs


def check_colours(campaign: Campaign, lines: Sequence[AlikeLines]) -> list[Problem]:
    """Colourways and stock that don't say one colour for each barrel of each part. lines: all that are ordered."""
    return [*_stock(campaign), *_colourways(campaign, _asked(campaign, lines))]


def check_makers(campaign: Campaign, needs: Needs) -> list[Problem]:
    """Parts still to be moulded that no tool makes."""
    made = {part for tool in campaign.tools.values() for part in tool.cavities}
    return [
        Problem(
            pointer("parts", part),
            f"part `{part}` is made by no tool",
            "give a tool cavities for it, or list it under `pieces` if it is bought in",
        )
        for part in campaign.parts
        if part in needs.asked and part not in made
    ]


def _stock(campaign: Campaign) -> list[Problem]:
    return [
        Problem(
            pointer("parts", name, "stock", n, "colours"),
            f"stock of part `{name}` names {_colours(len(stock.colours))}, "
            f"but the part has {_barrels(len(part.barrels))}",
            "name one colour per barrel, the first barrel first",
        )
        for name, part in campaign.parts.items()
        for n, stock in enumerate(part.stock)
        if len(stock.colours) != len(part.barrels)
    ]


def _asked(campaign: Campaign, lines: Sequence[AlikeLines]) -> set[tuple[str, str]]:
    """(product, colourway) of which units are ordered, spare or in hand."""
    asked = {
        (product, colourway)
        for some in lines
        for units in (some.first.units, some.first.extra_units)
        for product, colourways in units.items()
        for colourway in colourways
    }
    for name, product in campaign.products.items():
        asked |= {(name, way) for units in (product.spare_units, product.assembled) for way, n in units.items() if n}
        asked |= {(name, way) for sub in product.sub_assemblies.values() for way, n in sub.in_hand.items() if n}
    return asked


def _colourways(campaign: Campaign, asked: set[tuple[str, str]]) -> list[Problem]:
    problems = []
    for name, product in campaign.products.items():
        for colourway, colours_of in product.colourways.items():
            here = ("products", name, "colourways", colourway)
            for part in product.parts:
                if part not in colours_of and (name, colourway) in asked:
                    problems.append(
                        Problem(
                            pointer(*here),
                            f"colourway `{colourway}` of `{name}` says no colours for part `{part}`",
                            f'add "{part}": one colour per barrel of the part',
                        )
                    )
            for part, colours in colours_of.items():
                if part not in product.parts:
                    problems.append(
                        Problem(
                            pointer(*here, part),
                            f"colourway `{colourway}` colours `{part}`, which is no part of `{name}`",
                            f"take it out, or add `{part}` to the product's parts",
                        )
                    )
                elif part in campaign.parts and len(colours) != len(campaign.parts[part].barrels):
                    barrels = len(campaign.parts[part].barrels)
                    problems.append(
                        Problem(
                            pointer(*here, part),
                            f"colourway `{colourway}` names {_colours(len(colours))} for part `{part}`, "
                            f"which has {_barrels(barrels)}",
                            "name one colour per barrel, the first barrel first",
                        )
                    )
        named = (
            ("spare_units", product.spare_units, "spare units of `{}` are asked for"),
            ("assembled", product.assembled, "units of `{}` are in hand"),
        )
        problems += _sub_assemblies(campaign, name, product)
        problems += [
            Problem(
                pointer("products", name, field, colourway),
                f"{what.format(name)} in colourway `{colourway}`, in which it doesn't come",
                f"use one of {', '.join(f'`{c}`' for c in sorted(product.colourways)[:12])}",
            )
            for field, units, what in named
            for colourway in units
            if colourway not in product.colourways
        ]
    return problems


def _sub_assemblies(campaign: Campaign, name: str, product: Product) -> Iterator[Problem]:
    """Sub-assemblies: where they are put together, of what, and what is in hand."""
    benches, into = list(campaign.finishing_benches), dict[tuple[str, str], str]()
    for what, sub in product.sub_assemblies.items():
        here = ("products", name, "sub_assemblies", what)
        if sub.at not in benches:
            yield Problem(
                pointer(*here, "at"),
                f"`{what}` of `{name}` is put together at `{sub.at}`, which is no bench of ours",
                f"use one of {', '.join(f'`{one}`' for one in benches[:8])}"
                if benches
                else "add it to `finishing_benches`; what is put together at assembly needs no sub-assembly",
            )
        if not sub.parts and not sub.pieces:
            yield Problem(
                pointer(*here),
                f"`{what}` of `{name}` is put together of nothing",
                "name the product's `parts` or `pieces` that go into it",
            )
        for field, of, there in (("parts", sub.parts, product.parts), ("pieces", sub.pieces, product.pieces)):
            for n, one in enumerate(of):
                if one not in there:
                    yield Problem(
                        pointer(*here, field, n),
                        f"`{one}` goes into `{what}`, but `{name}` has none",
                        f"add `{one}` to the product's `{field}`, or take it out",
                    )
                elif (field, one) in into:
                    yield Problem(
                        pointer(*here, field, n),
                        f"`{one}` of `{name}` goes into `{into[field, one]}` and into `{what}`",
                        "name it in the first alone: what is put together goes along to the next bench",
                    )
                else:
                    into[field, one] = what
        for part in sub.parts:
            places = [step.at for step in campaign.parts[part].finishing] if part in campaign.parts else []
            later = [one for one in places if one in benches and sub.at in benches]
            later = [one for one in later if benches.index(one) > benches.index(sub.at)]
            if later:
                yield Problem(
                    pointer(*here, "at"),
                    f"`{part}` goes into `{what}` on bench `{sub.at}`, and is worked on at `{later[0]}` after that",
                    "list `finishing_benches` in the order in which parts go through them",
                )
        for colourway in sub.in_hand:
            if colourway not in product.colourways:
                yield Problem(
                    pointer(*here, "in_hand", colourway),
                    f"`{what}` is in hand for `{name}` in colourway `{colourway}`, in which it doesn't come",
                    f"use one of {', '.join(f'`{c}`' for c in sorted(product.colourways)[:12])}",
                )


def _colours(n: int) -> str:
    return "one colour" if n == 1 else f"{n} colours"


def _barrels(n: int) -> str:
    return "one barrel" if n == 1 else f"{n} barrels"
