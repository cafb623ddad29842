"""All that is kept of some orders, as a file."""

from typing import Any

from pydantic import BaseModel, Field

from api.services.erasure import KeptOfOrders

FILE = "kept-of-orders.json"
NEVER_KEPT = "names, addresses, e-mail addresses and telephone numbers: columns that hold them are never read"


class Kept(BaseModel):
    """All that is kept of some orders, in the campaign that the plan belongs to."""

    document: str = "kept-of-orders/1"
    campaign: str
    orders: list[str] = Field(description="the numbers asked for")
    book: list[dict[str, Any]] = Field(description="lines of the newest table of orders")
    set_aside: list[dict[str, Any]] = Field(description="its rows that are in no plan, cell by cell")
    planned: list[dict[str, Any]] = Field(description="order lines of campaign documents, and the plans made from each")
    log: list[dict[str, Any]] = Field(description="entries of the floor's log: what has left, what came back")
    texts: list[dict[str, str]] = Field(description="where else a number stands: notes, drafts, updates, history")
    not_looked_for: list[str] = Field(
        description="numbers too short to be told from other figures; look through notes and updates yourself"
    )
    never_kept: str = NEVER_KEPT

    @classmethod
    def of(cls, kept: KeptOfOrders) -> "Kept":
        return cls(
            campaign=kept.campaign, orders=kept.numbers, book=kept.book, set_aside=kept.set_aside,
            planned=kept.planned, log=kept.log, texts=kept.texts, not_looked_for=kept.not_looked_for,
        )  # fmt: skip
