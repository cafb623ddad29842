"""How light a melt is, as one sorts colour chips by eye."""

from planner.campaign import Campaign


def lightness(campaign: Campaign, melt: str) -> float:
    """Luma of the colour on the screen, 0 to 255 (weights of ITU-R BT.601); the middle where no colour is named."""
    colour = campaign.colours.get(melt.rpartition("/")[2])
    if colour is None or colour.hex is None:
        return 127.5
    code = colour.hex.lstrip("#")
    r, g, b = (int(code[i : i + 2], 16) for i in (0, 2, 4))
    return 0.299 * r + 0.587 * g + 0.114 * b
