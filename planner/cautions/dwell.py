"""How long POM may stay hot, in barrel and hot runner, and how long it does.

Table: Polyplastics Duracon moulding guide, section 2.1.
"""

POM_DWELL: tuple[tuple[int, int], ...] = ((200, 60), (210, 30), (230, 10))
"""(melt temperature in degrees C, most minutes in the barrel), hotter and shorter downwards."""


def residence_minutes(held_kg: float, shot_g: float, shot_seconds: float) -> float:
    """Minutes melt stays hot where it is drawn shot by shot: what barrel and hot runner hold over shot mass, times the
    shot time."""
    return held_kg * 1000 / shot_g * shot_seconds / 60


def hottest(minutes: float) -> int | None:
    """The hottest melt temperature of the table, degrees C, at which POM may stay so long; None: too long for any."""
    return max((degrees for degrees, most in POM_DWELL if minutes <= most), default=None)


def said() -> str:
    """The table in words."""
    first, *others = POM_DWELL
    return ", ".join([f"{first[1]} min at {first[0]} °C", *(f"{most} at {degrees}" for degrees, most in others)])
