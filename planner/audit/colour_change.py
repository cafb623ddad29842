"""How much of an old colour may be left in a new one, one pair and one number at a time: the auditor's own sum.

Written from RULES.md, R8: Kubelka-Munk mixing per band, CIEDE2000 (Sharma, Wu, Dalal, Color Research &
Application 30(1), 2005), then the limits by finish. Colour spaces and light are the coloraide library's.
"""

import math
from collections.abc import Callable
from functools import lru_cache
from typing import NamedTuple

from coloraide import Color
from coloraide.cmfs import CIE_1931_2DEG
from coloraide.illuminants import D65

from planner.campaign.materials import Look

Lab = tuple[float, float, float]

STRENGTH = {"solid": 1.0, "metallic": 1.0, "pearlescent": 0.6, "translucent": 0.3, "natural": 0.15}
CLEAR = ("translucent", "natural")
FLAKES = ("metallic", "pearlescent")
WHITE = 0.9


class Seen(NamedTuple):
    """A colour as the sum needs it. three: reflectance of linear red, green, blue; curve: of 31 bands, or none."""

    three: tuple[float, ...]
    curve: tuple[float, ...] | None
    finish: str
    strength: float


def seen(look: Look) -> Seen | None:
    """What the maker said of a colour; none where nothing was said."""
    if look.reflectance is not None:
        curve = tuple(_inside(value) for value in look.reflectance)
        light = Color("xyz-d65", _times_white(_curve_sums(curve))).convert("srgb-linear").coords()
        return Seen(tuple(map(_inside, light)), curve, look.finish, look.strength)
    if look.lab is not None:
        light = Color("lab-d65", list(look.lab)).convert("srgb-linear").coords()
        return Seen(tuple(map(_inside, light)), None, look.finish, look.strength)
    if look.hex is not None:
        codes = (int(look.hex[at : at + 2], 16) / 255 for at in (1, 3, 5))
        linear = (code / 12.92 if code <= 0.04045 else ((code + 0.055) / 1.055) ** 2.4 for code in codes)
        return Seen(tuple(0.04 + (WHITE - 0.04) * value for value in linear), None, look.finish, look.strength)
    return None


@lru_cache(maxsize=50_000)
def may_be_left(old: Seen, new: Seen, tolerance: float) -> tuple[float, bool]:
    """The fraction of the old colour that may be left in the new one, and whether its colour alone decides that."""
    by_colour = _unseen(old, new, tolerance)
    limits = [0.3]
    if old.finish in CLEAR or new.finish in CLEAR:
        limits.append(0.03)
    if old.finish in FLAKES:
        limits.append(0.02)
    if new.finish in CLEAR and old.finish not in CLEAR:
        limits += [0.001, _unseen(old, Seen((WHITE,) * 3, None, "solid", 1.0), tolerance)]
    return min(by_colour, *limits), by_colour <= min(limits)


def _unseen(old: Seen, new: Seen, tolerance: float) -> float:
    if old.finish in FLAKES and new.finish != old.finish:
        tolerance /= 2
    white = new.curve is None and new.three == (WHITE,) * 3
    sums: Callable[[tuple[float, ...]], Lab] = _three_sums
    bands = [*zip(old.three, new.three, strict=True)]
    if old.curve is not None and (new.curve is not None or white):
        bands = [*zip(old.curve, new.curve or (WHITE,) * 31, strict=True)]
        sums = _curve_sums
    pairs = [(_ratio(one), _ratio(other)) for one, other in bands]
    strong, weak = old.strength * STRENGTH[old.finish], new.strength * STRENGTH[new.finish]
    clean = _lab(sums(tuple(other for _, other in bands)))

    def passes(x: float) -> bool:
        a, b = x * strong, (1 - x) * weak
        mixed = ((a * one + b * other) / (a + b) for one, other in pairs)
        reflected = tuple(1 / (1 + k + math.sqrt(k * (k + 2))) for k in mixed)
        return difference(clean, _lab(sums(reflected))) <= tolerance

    good = 1e-9
    for step in range(1, 25):  # up to the first step that shows, then between it and the one before
        bad = 10 ** (9 * (step / 24 - 1))
        if not passes(bad):
            break
        good = bad
    else:
        return 1.0
    while bad / good > 1 + 1e-6:
        middle = math.sqrt(good * bad)
        good, bad = (middle, bad) if passes(middle) else (good, middle)
    return good


def difference(one: Lab, other: Lab) -> float:
    """CIEDE2000 of two CIELAB colours."""
    (l1, a1, b1), (l2, a2, b2) = one, other
    mean7 = ((math.hypot(a1, b1) + math.hypot(a2, b2)) / 2) ** 7
    g = (1 - math.sqrt(mean7 / (mean7 + 25.0**7))) / 2
    a1, a2 = a1 * (1 + g), a2 * (1 + g)
    c1, c2 = math.hypot(a1, b1), math.hypot(a2, b2)
    h1, h2 = math.degrees(math.atan2(b1, a1)) % 360, math.degrees(math.atan2(b2, a2)) % 360
    dh, hm = h2 - h1, h1 + h2
    if c1 * c2 == 0:
        dh = 0.0
    elif abs(dh) > 180:
        dh += -360 if dh > 0 else 360
        hm = (hm + 360) / 2 if hm < 360 else (hm - 360) / 2
    else:
        hm /= 2
    lm, cm = (l1 + l2) / 2, (c1 + c2) / 2
    t = 1 - 0.17 * _cos(hm - 30) + 0.24 * _cos(2 * hm) + 0.32 * _cos(3 * hm + 6) - 0.2 * _cos(4 * hm - 63)
    dl = (l2 - l1) / (1 + 0.015 * (lm - 50) ** 2 / math.sqrt(20 + (lm - 50) ** 2))
    dc = (c2 - c1) / (1 + 0.045 * cm)
    dd = 2 * math.sqrt(c1 * c2) * math.sin(math.radians(dh / 2)) / (1 + 0.015 * cm * t)
    turn = 60 * math.exp(-(((hm - 275) / 25) ** 2))
    rt = -2 * math.sqrt(cm**7 / (cm**7 + 25.0**7)) * math.sin(math.radians(turn))
    return math.sqrt(max(0.0, dl * dl + dc * dc + dd * dd + rt * dc * dd))


def _cos(degrees: float) -> float:
    return math.cos(math.radians(degrees))


def _inside(reflectance: float) -> float:
    return min(max(reflectance, 0.005), 0.99)


def _ratio(reflectance: float) -> float:
    return (1 - reflectance) ** 2 / (2 * reflectance)


_NM = range(400, 701, 10)
_CURVE = [[D65[nm] * CIE_1931_2DEG[nm][k] for nm in _NM] for k in range(3)]
_CURVE_WHOLE = [math.fsum(row) for row in _CURVE]
_THREE = [Color("srgb-linear", [float(k == j) for k in range(3)]).convert("xyz-d65").coords() for j in range(3)]
_WHITE_POINT = [math.fsum(primary[k] for primary in _THREE) for k in range(3)]


def _curve_sums(curve: tuple[float, ...]) -> Lab:
    """X, Y and Z as shares of a white's."""
    x, y, z = (
        sum(w * r for w, r in zip(row, curve, strict=True)) / whole
        for row, whole in zip(_CURVE, _CURVE_WHOLE, strict=True)
    )
    return x, y, z


def _three_sums(three: tuple[float, ...]) -> Lab:
    x, y, z = (
        sum(primary[k] * r for primary, r in zip(_THREE, three, strict=True)) / _WHITE_POINT[k] for k in range(3)
    )
    return x, y, z


def _times_white(shares: Lab) -> list[float]:
    return [share * white for share, white in zip(shares, _WHITE_POINT, strict=True)]


def _lab(shares: Lab) -> Lab:
    fx, fy, fz = (v ** (1 / 3) if v > (6 / 29) ** 3 else v * (29 / 6) ** 2 / 3 + 4 / 29 for v in shares)
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)
