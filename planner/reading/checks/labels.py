"""Labels: whether the serials have room beside the GS1 prefix."""

from planner.campaign.document import Campaign
from planner.campaign.pointers import pointer
from planner.errors import Problem
from planner.reading.checks.needs import Needs

DIGITS = 16
"""Digits of prefix and serial together in a serial shipping container code (GS1 General Specifications)."""


def check(campaign: Campaign, needs: Needs) -> list[Problem]:
    """Every parcel gets a serial, and every pallet: never more of these than parcels."""
    said = campaign.labels
    if said.gs1_prefix is None:
        return []
    room = DIGITS - len(said.gs1_prefix)
    last = said.serial_from + 2 * sum(needs.parcels.values()) - 1
    if last < 10**room:
        return []
    return [
        Problem(
            pointer("labels", "serial_from"),
            f"beside a prefix of {len(said.gs1_prefix)} digits a serial has {room}; labels may need up to {last}",
            "begin with a smaller serial, or use a shorter prefix",
        )
    ]
