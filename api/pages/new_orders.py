"""A campaign that has no orders yet: one stands in until a spreadsheet brings them."""

from typing import Any

from fastapi import Response

from api.pages.templating import page
from planner.campaign import Campaign


def with_an_order(document: dict[str, Any]) -> dict[str, Any]:
    """The document with an order of its first tier where it has none, so that the rest of it can be checked."""
    if document.get("orders") or not isinstance(document.get("tiers"), dict) or not document["tiers"]:
        return document
    tier, content = next(iter(document["tiers"].items()))
    units = content.get("units", {}) if isinstance(content, dict) else {}
    products = document.get("products", {})
    chosen = {
        product: [next(iter(products.get(product, {}).get("colourways", {})), "")] * count
        for product, count in units.items()
        if isinstance(count, int) and 0 < count <= 100
    }
    return document | {"orders": [{"tier": tier, "units": chosen}]}


def asking(text: str, campaign: Campaign, problem: str = "", status: int = 200) -> Response:
    """The page that asks for the orders' spreadsheet; the campaign travels in it as text."""
    return page(
        "orders.html",
        status,
        action="/start/orders",
        title=campaign.name,
        plan_id="",
        kept_campaign=text,
        book=None,
        campaign=campaign,
        problem=problem,
    )
