"""When what is bought must be paid."""

from typing import Annotated

from pydantic import Field

from planner.campaign.base import Document

Part = Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)]


class PaymentTerms(Document):
    """How an order is paid: a deposit when it is placed, the rest some days after it is at the door."""

    deposit_share: Part = Field(default=0, description="share of the price that is paid with the order")
    balance_days: Annotated[int, Field(ge=-3650, le=3650)] = Field(
        default=0,
        description="calendar days from the door to the day the rest is to be paid; below zero: before it comes",
    )
