"""What keeps orders of work from being gone through one by one, so that only a bound that is met proves a plan."""

from planner.campaign import Campaign
from planner.campaign.operators import too_few
from planner.demand.at_the_shot import moulds_over
from planner.demand.shared_parts import tools_together


def in_the_way(campaign: Campaign) -> list[str]:
    """What the campaign has of it, in words (RULES.md, D6.1, R21.2, R26, B11, F7, O3)."""
    products = campaign.products.values()
    finishing = any(part.finishing for part in campaign.parts.values()) or any(p.sub_assemblies for p in products)
    kinds = (
        (bool(tools_together(campaign)), "a part that several tools make"),
        (moulds_over(campaign), "parts that go into moulds"),
        (finishing, "work between press and assembly"),
        (bool(campaign.carriers), "carriers with pick-ups of their own"),
        (any(tier.wave is not None for tier in campaign.tiers.values()), "waves"),
        (too_few(campaign), "people who may be too few to stay at all presses at once"),
        (any(press.others for press in campaign.presses.values()), "others' work on a press"),
    )
    return [words for there, words in kinds if there]


def told(basis: str, campaign: Campaign) -> str:
    """What a bound rests on, and what is left out of the proof; said once, where the bound was told before."""
    kinds = in_the_way(campaign)
    if not kinds:
        return basis
    *most, last = kinds
    named = f"{', '.join(most)} and {last}" if most else last
    left_out = f"; with {named} orders of work are not gone through, so only a plan that meets the bound is proven"
    return basis.removesuffix(left_out) + left_out
