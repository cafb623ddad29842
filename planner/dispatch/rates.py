"""Which tariff a parcel goes by: the cheapest that is for its country and takes its weight."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Tariff:
    """A tariff. to: countries; none: wherever no other tariff names. steps: (kg up to, money), rising.
    door_days: fewest and most calendar days from the pick-up to the door."""

    number: int
    to: frozenset[str] | None
    steps: tuple[tuple[float, float], ...]
    door_days: tuple[int, int] | None


@dataclass(frozen=True)
class Postage:
    """What one parcel costs, and by which tariff."""

    tariff: Tariff
    price: float


HAIR_KG = 1e-9
"""A parcel that weighs so little more than a step is in it: its grams are decimal, a float's are not."""


def for_country(tariffs: Sequence[Tariff], country: str) -> list[Tariff]:
    """The tariffs that name the country; where none does, those that name nobody."""
    named = [tariff for tariff in tariffs if tariff.to is not None and country in tariff.to]
    return named or [tariff for tariff in tariffs if tariff.to is None]


def cheapest(tariffs: Iterable[Tariff], kg: float) -> Postage | None:
    """The cheapest that takes so many kg, the first of equals; None where none does."""
    found = [
        Postage(tariff, price)
        for tariff in tariffs
        for price in [next((price for up_to, price in tariff.steps if kg <= up_to + HAIR_KG), None)]
        if price is not None
    ]
    return min(found, key=lambda one: one.price, default=None)
