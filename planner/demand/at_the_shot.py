"""What goes into the mould before a shot: parts and bought-in pieces that are moulded over (RULES.md, O)."""

from collections import Counter

from planner.campaign import Campaign
from planner.campaign.products import MouldedOver

Item = tuple[str, tuple[str, ...]]

NOTHING = MouldedOver()


def moulds_over(campaign: Campaign) -> bool:
    """Whether any part has others moulded into it."""
    return any(part.moulded_over is not None for part in campaign.parts.values())


def parts_in_a_shot(campaign: Campaign, tool: str) -> Counter[Item]:
    """Parts that one shot of a tool takes, cavities that are open counted."""
    found: Counter[Item] = Counter()
    for part in campaign.tools[tool].cavities:
        for one in _over(campaign, part).parts:
            found[one.part, tuple(one.colours)] += one.number * campaign.tools[tool].open_cavities(part)
    return found


def pieces_in_a_shot(campaign: Campaign, tool: str) -> Counter[str]:
    """Bought-in pieces that one shot of a tool takes."""
    found: Counter[str] = Counter()
    for part in campaign.tools[tool].cavities:
        for piece, number in _over(campaign, part).pieces.items():
            found[piece] += number * campaign.tools[tool].open_cavities(part)
    return found


def items_under(campaign: Campaign, part: str, above: tuple[str, ...] = ()) -> list[Item]:
    """Moulded items in a part, those in these too. above: parts that this one is in, which it cannot hold again."""
    found: list[Item] = []
    for one in _over(campaign, part).parts:
        if one.part in campaign.parts and one.part not in (part, *above):
            found += [(one.part, tuple(one.colours)), *items_under(campaign, one.part, (*above, part))]
    return found


def made_before(campaign: Campaign, tool: str) -> set[str]:
    """Tools that make what goes into a tool's moulds, and into those of these."""
    under = {item for part in campaign.tools[tool].cavities for item, _ in items_under(campaign, part)}
    return {name for name, other in campaign.tools.items() if under & set(other.cavities)}


def mass_g(campaign: Campaign, part: str, above: tuple[str, ...] = ()) -> float:
    """Grams of a part with what it is moulded over, bought-in pieces of no known mass left out. above: as before."""
    over = _over(campaign, part)
    grams = sum(barrel.mass_g for barrel in campaign.parts[part].barrels)
    inside = (one for one in over.parts if one.part in campaign.parts and one.part not in (part, *above))
    grams += sum(one.number * mass_g(campaign, one.part, (*above, part)) for one in inside)
    beside = ((n, campaign.pieces[name]) for name, n in over.pieces.items() if name in campaign.pieces)
    return grams + sum(n * (piece.mass_g or 0.0) for n, piece in beside)


def _over(campaign: Campaign, part: str) -> MouldedOver:
    made = campaign.parts.get(part)
    return NOTHING if made is None or made.moulded_over is None else made.moulded_over
