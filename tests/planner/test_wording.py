"""Money as people read it: in whole units where it is much, else to the smallest unit of its currency."""

import pytest

from planner.wording import THIN, exact_money, money


@pytest.mark.parametrize(
    ("amount", "currency", "said"),
    [
        (12.5, "GBP", "12.50 GBP"), (999.49, "EUR", "999.49 EUR"), (999.5, "EUR", "1 000 EUR"), (420, "JPY", "420 JPY"),
        (3.4567, "KWD", "3.457 KWD"), (-1204.4, "USD", "−1 204 USD"), (7, "XYZ", "7.00 XYZ"),
    ],
)  # fmt: skip
def test_money(amount: float, currency: str, said: str) -> None:
    """Minor units of ISO 4217, list one (from memory): none for the yen, two for most, three for the Kuwaiti dinar."""
    assert money(amount, currency) == said.replace(" ", THIN)


def test_exact_money() -> None:
    """For totals that are added up by hand."""
    assert exact_money(31156.2, "GBP") == "31 156.20 GBP".replace(" ", THIN)
    assert exact_money(31156.2, "JPY") == "31 156 JPY".replace(" ", THIN)
