"""Names that name nothing."""

from collections.abc import Iterator
from difflib import get_close_matches
from typing import NamedTuple

from planner.campaign.document import Campaign
from planner.campaign.pointers import pointer
from planner.campaign.purging import entries_of
from planner.campaign.wishes import WishedRuns
from planner.errors import Problem

SINGULAR = {
    "places": "place",
    "presses": "press",
    "tools": "tool",
    "toolmakers": "toolmaker",
    "resins": "resin",
    "colours": "colour",
    "parts": "part",
    "pieces": "bought-in piece",
    "products": "product",
    "tiers": "tier",
}

Steps = tuple[str | int, ...]


class Mention(NamedTuple):
    """A place in the document that names something of a section."""

    steps: Steps
    section: str
    name: str


def check(campaign: Campaign) -> list[Problem]:
    """Every name outside the order lines that names nothing, and colours whose names would cut a melt's in two."""
    cut = [
        Problem(
            pointer("colours", name),
            f"colour `{name}` holds a `/`, which stands between resin and colour of a melt",
            f"write `{name.replace('/', ' & ')}`",
        )
        for name in campaign.colours
        if "/" in name
    ]
    return cut + [
        unknown(campaign, mention.steps, mention.section, mention.name)
        for mention in _mentions(campaign)
        if mention.name not in getattr(campaign, mention.section)
    ]


def unknown(campaign: Campaign, steps: Steps, section: str, name: str) -> Problem:
    """The problem of a name that is not in its section, with the nearest that is."""
    known = sorted(getattr(campaign, section))
    near = get_close_matches(name, known, n=1)
    if near:
        remedy = f"did you mean `{near[0]}`? Otherwise add it to `{section}`"
    elif known:
        shown = ", ".join(f"`{k}`" for k in known[:8]) + (", ..." if len(known) > 8 else "")
        remedy = f"use one of {shown}, or add it to `{section}`"
    else:
        remedy = f"add it to `{section}`"
    return Problem(pointer(*steps), f"there is no {SINGULAR[section]} `{name}`", remedy)


def _mentions(campaign: Campaign) -> Iterator[Mention]:
    yield from _workshop(campaign)
    yield from _goods(campaign)
    yield from _purging(campaign)
    yield from _wishes(campaign)


def _melt(steps: Steps, melt: str | None) -> Iterator[Mention]:
    if melt:
        resin, colour = melt.rsplit("/", 1)
        yield Mention(steps, "resins", resin)
        yield Mention(steps, "colours", colour)


def _workshop(campaign: Campaign) -> Iterator[Mention]:
    for name, press in campaign.presses.items():
        here: Steps = ("presses", name)
        if press.tool is not None:
            yield Mention((*here, "tool"), "tools", press.tool)
        for k, barrel in enumerate(press.barrels):
            yield from _melt((*here, "barrels", k, "holds"), barrel.holds)
            for n, resin in enumerate(barrel.has_held):
                yield Mention((*here, "barrels", k, "has_held", n), "resins", resin)
        for n, others in enumerate(press.others):
            for k, melt in enumerate(others.leaves):
                yield from _melt((*here, "others", n, "leaves", k), melt)
            for k, resin in enumerate(others.moulds):
                yield Mention((*here, "others", n, "moulds", k), "resins", resin)
        for n, begun in enumerate(press.begins_with):
            yield Mention((*here, "begins_with", n, "tool"), "tools", begun.tool)
            for k, colour in enumerate(begun.colours):
                yield Mention((*here, "begins_with", n, "colours", k), "colours", colour)
    for name, tool in campaign.tools.items():
        for part in tool.cavities:
            yield Mention(("tools", name, "cavities", part), "parts", part)
        for n, melt in enumerate(tool.hot_runner_holds):
            yield from _melt(("tools", name, "hot_runner_holds", n), melt)
        for n, resin in enumerate(tool.hot_runner_has_held):
            yield Mention(("tools", name, "hot_runner_has_held", n), "resins", resin)
        for n, at in enumerate(tool.presses):
            yield Mention(("tools", name, "presses", n), "presses", at)
        for step_id, step in tool.until_ready.items():
            if step.by is not None:
                yield Mention(("tools", name, "until_ready", step_id, "by"), "toolmakers", step.by)


def _goods(campaign: Campaign) -> Iterator[Mention]:
    for name, resin in campaign.resins.items():
        if resin.natural_colour is not None:
            yield Mention(("resins", name, "natural_colour"), "colours", resin.natural_colour)
    for n, pair in enumerate(campaign.forbidden_pairs):
        yield Mention(("forbidden_pairs", n, "one"), "resins", pair.one)
        yield Mention(("forbidden_pairs", n, "other"), "resins", pair.other)
    for name, part in campaign.parts.items():
        for k, barrel in enumerate(part.barrels):
            yield Mention(("parts", name, "barrels", k, "resin"), "resins", barrel.resin)
        for n, one in enumerate(part.moulded_over.parts if part.moulded_over else ()):
            yield Mention(("parts", name, "moulded_over", "parts", n, "part"), "parts", one.part)
            for k, colour in enumerate(one.colours):
                yield Mention(("parts", name, "moulded_over", "parts", n, "colours", k), "colours", colour)
        for piece in part.moulded_over.pieces if part.moulded_over else ():
            yield Mention(("parts", name, "moulded_over", "pieces", piece), "pieces", piece)
        for n, stock in enumerate(part.stock):
            for k, colour in enumerate(stock.colours):
                yield Mention(("parts", name, "stock", n, "colours", k), "colours", colour)
    for name, product in campaign.products.items():
        for used in product.parts:
            yield Mention(("products", name, "parts", used), "parts", used)
        for piece in product.pieces:
            yield Mention(("products", name, "pieces", piece), "pieces", piece)
        for colourway, colours_of in product.colourways.items():
            for used, colours in colours_of.items():
                for k, colour in enumerate(colours):
                    yield Mention(("products", name, "colourways", colourway, used, k), "colours", colour)
    for name, tier in campaign.tiers.items():
        for made in tier.units:
            yield Mention(("tiers", name, "units", made), "products", made)
        for piece in tier.pieces:
            yield Mention(("tiers", name, "pieces", piece), "pieces", piece)
        for n, carton in enumerate(tier.cartons):
            yield Mention(("tiers", name, "cartons", n), "pieces", carton)


def _purging(campaign: Campaign) -> Iterator[Mention]:
    for n, given in enumerate(campaign.purging.given):
        here: Steps = ("purging", "given", n)
        yield from _melt((*here, "from"), given.from_)
        yield from _melt((*here, "to"), given.to)
        if given.press is not None:
            yield Mention((*here, "press"), "presses", given.press)
    for n, change in enumerate(campaign.purging.resin_changes):
        yield Mention(("purging", "resin_changes", n, "from"), "resins", change.from_)
        yield Mention(("purging", "resin_changes", n, "to"), "resins", change.to)
    compound = campaign.purging.compound
    if compound is not None:
        for n, resin in enumerate(compound.resins):
            yield Mention(("purging", "compound", "resins", n), "resins", resin)
        for field, n, entry in entries_of(compound):
            here = ("purging", "compound", field, n)
            yield from _melt((*here, "from"), entry.from_)
            yield from _melt((*here, "to"), entry.to)
            if entry.press is not None:
                yield Mention((*here, "press"), "presses", entry.press)
    for n, logged in enumerate(campaign.purging.log):
        here = ("purging", "log", n)
        yield from _melt((*here, "from"), logged.from_)
        yield from _melt((*here, "to"), logged.to)
        yield Mention((*here, "press"), "presses", logged.press)
        if logged.tool is not None:
            yield Mention((*here, "tool"), "tools", logged.tool)


def _wishes(campaign: Campaign) -> Iterator[Mention]:
    for n, one in enumerate(campaign.planning.made_by):
        yield Mention(("planning", "made_by", n, "tool"), "tools", one.tool)
        for k, colour in enumerate(one.colours):
            yield Mention(("planning", "made_by", n, "colours", k), "colours", colour)
    for n, stands in enumerate(campaign.planning.made_at):
        yield Mention(("planning", "made_at", n, "tool"), "tools", stands.tool)
        if stands.place is not None:
            yield Mention(("planning", "made_at", n, "place"), "places", stands.place)
    for n, wish in enumerate(campaign.wishes):
        named: list[tuple[Steps, WishedRuns | None]] = [
            (("runs",), wish.runs),
            (("then",), wish.then),
            *((("together", k), one) for k, one in enumerate(wish.together)),
        ]
        for steps, wished in named:
            if wished is not None:
                yield Mention(("wishes", n, *steps, "tool"), "tools", wished.tool)
                for k, colour in enumerate(wished.colours):
                    yield Mention(("wishes", n, *steps, "colours", k), "colours", colour)
        if wish.press is not None:
            yield Mention(("wishes", n, "press"), "presses", wish.press)
        if wish.first_colour is not None:
            yield Mention(("wishes", n, "first_colour"), "colours", wish.first_colour)
