"""Who can lift this carton: the HSE guideline filter and the revised NIOSH lifting equation.

Neither is a limit of law. Sources: HSE L23 / INDG143 (filter weights by zone; less for frequent lifts);
Waters, Putz-Anderson, Garg, Applications Manual for the Revised NIOSH Lifting Equation, DHHS (NIOSH) 94-110.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Zone = Literal["above shoulder", "shoulder-elbow", "elbow-knuckle", "knuckle-mid lower leg", "below mid lower leg"]
Reach = Literal["close", "far"]
Coupling = Literal["good", "fair", "poor"]

CLOSING = "Local codes, the supplier's data sheet and licensed practice come first."

# kg: men close, men far, women close, women far
_FILTER_KG: dict[Zone, tuple[int, int, int, int]] = {
    "above shoulder": (10, 5, 7, 3),
    "shoulder-elbow": (20, 10, 13, 7),
    "elbow-knuckle": (25, 15, 16, 10),
    "knuckle-mid lower leg": (20, 10, 13, 7),
    "below mid lower leg": (10, 5, 7, 3),
}

# Table 5 of 94-110: lifts a minute, then FM for <= 1 h, <= 2 h, <= 8 h, each for V below and from 75 cm.
_LIFTS_PER_MINUTE = (0.2, 0.5, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15)
_FM: tuple[tuple[float, ...], ...] = (
    (1.0, 1.0, 0.95, 0.95, 0.85, 0.85),
    (0.97, 0.97, 0.92, 0.92, 0.81, 0.81),
    (0.94, 0.94, 0.88, 0.88, 0.75, 0.75),
    (0.91, 0.91, 0.84, 0.84, 0.65, 0.65),
    (0.88, 0.88, 0.79, 0.79, 0.55, 0.55),
    (0.84, 0.84, 0.72, 0.72, 0.45, 0.45),
    (0.8, 0.8, 0.6, 0.6, 0.35, 0.35),
    (0.75, 0.75, 0.5, 0.5, 0.27, 0.27),
    (0.7, 0.7, 0.42, 0.42, 0.22, 0.22),
    (0.6, 0.6, 0.35, 0.35, 0.18, 0.18),
    (0.52, 0.52, 0.3, 0.3, 0, 0.15),
    (0.45, 0.45, 0.26, 0.26, 0, 0.13),
    (0.41, 0.41, 0, 0.23, 0, 0),
    (0.37, 0.37, 0, 0.21, 0, 0),
    (0, 0.34, 0, 0, 0, 0),
    (0, 0.31, 0, 0, 0, 0),
    (0, 0.28, 0, 0, 0, 0),
)


@dataclass(frozen=True)
class Lift:
    """One place where a carton is lifted, e.g. from the pack bench to the pallet.

    zone, reach: where the hands are in the HSE filter's picture.
    h, v, d: cm from between the ankles to the hands, height of the hands at the start, height travelled.
    angle: degrees that the body twists. per_minute: lifts a minute. hours: of such work in one go.
    """

    name: str
    zone: Zone = "elbow-knuckle"
    reach: Reach = "close"
    h: float = 35.0
    v: float = 90.0
    d: float = 50.0
    angle: float = 0.0
    per_minute: float = 0.2
    hours: float = 8.0
    coupling: Coupling = "fair"


@dataclass(frozen=True)
class LiftFinding:
    """What the two guides say of one carton at one lift.

    filter_men, filter_women: HSE filter in kg. recommended: NIOSH recommended weight limit in kg (RWL).
    index: weight / RWL (LI); infinite where the equation allows no weight. caution: "" where neither objects.
    """

    lift: str
    filter_men: float
    filter_women: float
    recommended: float
    index: float
    caution: str


def hse_filter_kg(zone: Zone, reach: Reach, women: bool, per_minute: float = 0.2) -> float:
    """HSE filter weight in kg; less 30 / 50 / 80 % for frequent lifts.

    HSE gives 30 % less at one or two lifts a minute, 50 % at five to eight, 80 % over twelve, and says the
    filter holds up to about thirty an hour; in between we take the harsher neighbour.
    """
    kg = _FILTER_KG[zone][(2 if women else 0) + (1 if reach == "far" else 0)]
    if per_minute <= 0.5:
        return float(kg)
    if per_minute <= 2:
        return kg * 0.7
    if per_minute <= 8:
        return kg * 0.5
    return kg * 0.2


def frequency_multiplier(per_minute: float, hours: float, v: float) -> float:
    """FM of 94-110 table 5; between rows the next more frequent one. v: height of the hands in cm."""
    row = bisect_left(_LIFTS_PER_MINUTE, per_minute)
    if row == len(_FM) or hours > 8:
        return 0.0
    column = (0 if hours <= 1 else 2 if hours <= 2 else 4) + (1 if v >= 75 else 0)
    return _FM[row][column]


def coupling_multiplier(coupling: Coupling, v: float) -> float:
    """CM of 94-110 table 7. v: height of the hands in cm."""
    if coupling == "good":
        return 1.0
    if coupling == "fair":
        return 1.0 if v >= 75 else 0.95
    return 0.90


def recommended_weight_kg(lift: Lift) -> float:
    """RWL in kg: 23 x HM x VM x DM x AM x FM x CM, metric form; 0 where a distance is out of its range."""
    if lift.h > 63 or not 0 <= lift.v <= 175 or lift.d > 175 or not 0 <= lift.angle <= 135:
        return 0.0
    hm = 25 / max(lift.h, 25)
    vm = 1 - 0.003 * abs(lift.v - 75)
    dm = 0.82 + 4.5 / max(lift.d, 25)
    am = 1 - 0.0032 * lift.angle
    fm = frequency_multiplier(lift.per_minute, lift.hours, lift.v)
    return 23 * hm * vm * dm * am * fm * coupling_multiplier(lift.coupling, lift.v)


def assess(gross_kg: float, lifts: Sequence[Lift]) -> tuple[LiftFinding, ...]:
    """Hold a carton of `gross_kg` against both guides at each lift; cautions where one of them objects."""
    return tuple(_finding(gross_kg, lift) for lift in lifts)


def _finding(gross_kg: float, lift: Lift) -> LiftFinding:
    men = hse_filter_kg(lift.zone, lift.reach, women=False, per_minute=lift.per_minute)
    women = hse_filter_kg(lift.zone, lift.reach, women=True, per_minute=lift.per_minute)
    limit = recommended_weight_kg(lift)
    index = gross_kg / limit if limit else float("inf")
    reasons = []
    if gross_kg > men:
        reasons.append(f"over the HSE filter for men and women ({men:g} and {women:g} kg)")
    elif gross_kg > women:
        reasons.append(f"over the HSE filter for women ({women:g} kg)")
    if index > 1:
        reasons.append(
            f"over the NIOSH recommended weight of {limit:.1f} kg (lifting index {index:.1f})"
            if limit
            else "outside what the NIOSH equation allows by hand at all"
        )
    caution = ""
    if reasons:
        caution = (
            f"{lift.name}: {gross_kg:.1f} kg is {' and '.join(reasons)}: use a smaller carton, a lifting aid "
            f"or two people, and have the task assessed. {CLOSING}"
        )
    return LiftFinding(lift.name, men, women, limit, index, caution)
