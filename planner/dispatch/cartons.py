"""Which carton takes which contents: the cheapest one whose inside and weight limit take all of them."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum

from planner.dispatch.fitting import Fit, Piece, Sides, fit


@dataclass(frozen=True)
class Content:
    """Something that goes into a carton. sides in mm (third: height), kg each, upright: must stand."""

    id: str
    sides: Sides
    kg: float
    upright: bool = False


@dataclass(frozen=True)
class Carton:
    """A carton on offer. inside and outside in mm, empty weight in kg, cost in campaign currency.

    padding_mm: taken off every inside side twice; padding_kg: what that padding weighs.
    largest_kg: gross weight it may hold; None: no limit.
    """

    id: str
    inside: Sides
    outside: Sides
    kg: float
    cost: float
    padding_mm: int = 0
    padding_kg: float = 0.0
    largest_kg: float | None = None

    def room(self) -> Sides:
        """Inside less padding on both ends of each side, mm."""
        a, b, c = (side - 2 * self.padding_mm for side in self.inside)
        return a, b, c


@dataclass(frozen=True)
class CartonChoice:
    """The carton for one set of contents, or none with the reasons.

    tried: carton id and why it was not taken, in the order looked at. gross_kg: 0 without a carton. contents: ids, as
    the placements of the fit count them.
    """

    carton: Carton | None
    fit: Fit | None
    gross_kg: float
    tried: tuple[tuple[str, str], ...]
    contents: tuple[str, ...] = ()


def choose_carton(contents: Sequence[Content], cartons: Sequence[Carton], loose_kg: float = 0.0) -> CartonChoice:
    """Cheapest carton that takes all contents; among equals the smaller outside, then the id.

    loose_kg: mass of leaflets and the like, which take no room worth counting.
    A carton whose fit could not be decided is passed over and listed: only proven fits are promised.
    """
    net = fsum((loose_kg, *(content.kg for content in contents)))
    pieces = [Piece(content.sides, content.upright) for content in contents]
    tried: list[tuple[str, str]] = []
    for carton in sorted(cartons, key=_by_cost):
        gross = net + carton.kg + carton.padding_kg
        if carton.largest_kg is not None and gross > carton.largest_kg:
            tried.append((carton.id, f"{gross:.2f} kg is over its {carton.largest_kg:g} kg"))
            continue
        if min(carton.room()) <= 0:
            tried.append((carton.id, "its padding leaves no room"))
            continue
        answer = fit(pieces, carton.room())
        if answer.verdict == "fits":
            return CartonChoice(carton, answer, gross, tuple(tried), tuple(content.id for content in contents))
        tried.append((carton.id, answer.why))
    return CartonChoice(None, None, 0.0, tuple(tried))


def _by_cost(carton: Carton) -> tuple[float, int, str]:
    a, b, c = carton.outside
    return carton.cost, a * b * c, carton.id
