"""What a parcel weighs, and what the carrier charges for: gross, volumetric and chargeable weight.

The divisor, the rounding and the limits are the carrier's own figures and come in as data.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil


@dataclass(frozen=True)
class Carrier:
    """A carrier's weighing rules, named as the campaign names them: a further one is taken over by its name.

    volumetric_divisor: cubic centimetres that count as one kilogram (5000, 6000 are common); None: no such rule.
    step_kg: chargeable weight is rounded up to a multiple of this; 0: not rounded.
    whole_cm: sides are rounded up to whole centimetres first.
    max_kg, longest_mm, girth_mm: limits; girth is length + 2 x width + 2 x height. None: no limit.
    """

    id: str
    volumetric_divisor: float | None
    step_kg: float = 0.0
    whole_cm: bool = False
    max_kg: float | None = None
    longest_mm: int | None = None
    girth_mm: int | None = None

    def __post_init__(self) -> None:
        if self.volumetric_divisor is not None and self.volumetric_divisor <= 0:
            raise ValueError(f"carrier {self.id}: volumetric divisor {self.volumetric_divisor} must be above 0")
        if self.step_kg < 0:
            raise ValueError(f"carrier {self.id}: rounding step {self.step_kg} kg must not be below 0")


@dataclass(frozen=True)
class ParcelWeight:
    """Kilograms: what the scale shows, what the volume counts as, and the larger one, rounded as charged."""

    gross: float
    volumetric: float
    chargeable: float


def gross_kg(contents_kg: Iterable[float], carton_kg: float, padding_kg: float = 0.0) -> float:
    """Gross weight in kg: everything inside, the empty carton and its padding."""
    return sum(contents_kg) + carton_kg + padding_kg


def volumetric_kg(outside_mm: tuple[int, int, int], carrier: Carrier) -> float:
    """Volumetric weight in kg of a carton by its outside length, width and height in mm."""
    if carrier.volumetric_divisor is None:
        return 0.0
    sides = [ceil(side / 10) if carrier.whole_cm else side / 10 for side in outside_mm]
    return sides[0] * sides[1] * sides[2] / carrier.volumetric_divisor


def parcel_weight(gross: float, outside_mm: tuple[int, int, int], carrier: Carrier) -> ParcelWeight:
    """Weights of one parcel; `gross` in kg, sides in mm."""
    volumetric = volumetric_kg(outside_mm, carrier)
    charged = max(gross, volumetric)
    if carrier.step_kg:
        # 9 decimals: 2.0 kg in steps of 0.1 must not become 2.1 through binary fractions
        charged = round(ceil(round(charged / carrier.step_kg, 9)) * carrier.step_kg, 9)
    return ParcelWeight(gross, volumetric, charged)


def refusals(gross: float, outside_mm: tuple[int, int, int], carrier: Carrier) -> tuple[str, ...]:
    """Why the carrier would not take the parcel, in the maker's words; empty: it would."""
    longest, *others = sorted(outside_mm, reverse=True)
    girth = longest + 2 * sum(others)
    reasons = []
    if carrier.max_kg is not None and gross > carrier.max_kg:
        reasons.append(f"{gross:.2f} kg is over the carrier's {carrier.max_kg:g} kg")
    if carrier.longest_mm is not None and longest > carrier.longest_mm:
        reasons.append(f"{longest} mm long is over the carrier's {carrier.longest_mm} mm")
    if carrier.girth_mm is not None and girth > carrier.girth_mm:
        reasons.append(f"length + girth {girth} mm is over the carrier's {carrier.girth_mm} mm")
    return tuple(reasons)
