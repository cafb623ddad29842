"""Where presses and benches stand, and parts are moulded and taken: on our own floor, or at another place."""

from collections.abc import Collection, Iterable

from planner.campaign.document import Campaign
from planner.campaign.places import Place


def place_of(campaign: Campaign, press: str) -> Place | None:
    """Where a press stands; None: on our own floor."""
    return campaign.places.get(campaign.presses[press].place or "")


def setter_rate(campaign: Campaign, press: str) -> float:
    """Money per hour of whoever sets up a press: our setters, or those of its place."""
    place = place_of(campaign, press)
    return campaign.floor.setter_rate_per_hour if place is None else place.setter_rate_per_hour


def places_of(campaign: Campaign, presses: Iterable[str]) -> list[str]:
    """Names of the places in which some presses stand, each once, sorted; `""`: our own floor."""
    return sorted({campaign.presses[press].place or "" for press in presses if press in campaign.presses})


def made_at(campaign: Campaign, part: str, tools: Collection[str] | None = None) -> str | None:
    """The place that a part is brought from; None: it is moulded here. tools: of what these make alone."""
    if not campaign.places:
        return None
    return next((name for name in moulded_at(campaign, part, tools) if name in campaign.places), None)


def moulded_at(campaign: Campaign, part: str, tools: Collection[str] | None = None) -> list[str]:
    """Places in which the presses of a part's tools, or of some of them, stand; sorted, `""`: our own floor."""
    mine = (campaign.tools[one] for one in (campaign.tools if tools is None else tools))
    return places_of(campaign, (press for tool in mine if part in tool.cavities for press in tool.presses))


def made_away(campaign: Campaign, part: str) -> list[str] | None:
    """Where a part is moulded at the place that takes it and at another one too, the tools that mould it at the other;
    None: all of them together."""
    if len(moulded_at(campaign, part)) < 2:
        return None
    here = goes_to(campaign, part) or ""
    return [one for one in campaign.tools if moulded_at(campaign, part, [one]) not in ([], [here])]


def taken_at(campaign: Campaign, part: str) -> list[str]:
    """Places to which a moulded part goes first, each once, sorted; `""`: our own floor. That is the first bench it
    passes, the bench that puts it into a sub-assembly, the press whose mould takes it, or else the assembly bench."""
    benches = campaign.finishing_benches
    first = next((step.at for step in campaign.parts[part].finishing if step.at in benches), None)
    if first is not None:
        return [benches[first].place or ""]
    found = set()
    for product in campaign.products.values():
        if part in product.parts:
            subs = [sub.at for sub in product.sub_assemblies.values() if part in sub.parts and sub.at in benches]
            found.add((benches[subs[0]] if subs else campaign.assembly).place or "")
    for name, other in campaign.parts.items():
        if other.moulded_over is not None and any(one.part == part for one in other.moulded_over.parts):
            found.add(made_at(campaign, name) or "")
    return sorted(found)


def taken_piece_at(campaign: Campaign, piece: str) -> list[str]:
    """Places to which a bought-in piece is delivered, likewise."""
    found = set()
    for product in campaign.products.values():
        if piece in product.pieces:
            subs = [sub.at for sub in product.sub_assemblies.values() if piece in sub.pieces]
            benches = [campaign.finishing_benches[at] for at in subs if at in campaign.finishing_benches]
            found.add((benches[0] if benches else campaign.assembly).place or "")
    for name, part in campaign.parts.items():
        if part.moulded_over is not None and piece in part.moulded_over.pieces:
            found.add(made_at(campaign, name) or "")
    for tier in campaign.tiers.values():
        if piece in tier.pieces or piece in tier.cartons:
            found.add(campaign.packing.place or "")
    return sorted(found)


def goes_to(campaign: Campaign, part: str) -> str | None:
    """The place to which a part goes from press or firm; None: our own floor."""
    return next(iter(taken_at(campaign, part)), "") or None


def benches_elsewhere(campaign: Campaign) -> bool:
    """Whether any bench stands at another place."""
    return any(bench.place for bench in (campaign.assembly, campaign.packing, *campaign.finishing_benches.values()))


def not_here(campaign: Campaign, part: str, tool: str | None = None) -> bool:
    """Whether moulded parts are not yet what a bench or a mould takes: they are brought there, or worked on, first.
    tool: those of this one; none: of any that moulds them."""
    if campaign.parts[part].finishing:
        return True
    tools = made_away(campaign, part) if tool is None else [tool]
    return bool(campaign.places) and made_at(campaign, part, tools) != goes_to(campaign, part)
