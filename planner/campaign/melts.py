"""What a melt is made of and what a kilogram of it costs."""

from planner.campaign.document import Campaign


def let_down(campaign: Campaign, resin: str, colour: str) -> float:
    """Masterbatch mass over total coloured mass; 0 for the resin's natural colour."""
    if campaign.resins[resin].natural_colour == colour:
        return 0.0
    return campaign.colours[colour].let_down_percent / 100


def pigment_of(campaign: Campaign, melt: str) -> str:
    """The melt (`resin/colour`) by the colour whose masterbatch it is: two of the same are one to a press."""
    resin, _, colour = melt.rpartition("/")
    own = campaign.colours.get(colour)
    return melt if own is None or own.same_as is None else f"{resin}/{own.same_as}"


def melt_price(campaign: Campaign, melt: str) -> float:
    """Money per kg of a melt (`resin/colour`): resin and masterbatch by let-down."""
    resin, colour = melt.rsplit("/", 1)
    share = let_down(campaign, resin, colour)
    return campaign.resins[resin].price_per_kg * (1 - share) + campaign.colours[colour].price_per_kg * share
