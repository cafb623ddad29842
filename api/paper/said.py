"""What several sheets say alike: until when, what a dryer is filled with, text without marks, a code to scan."""

import io
from datetime import datetime

import segno

from api import wording
from planner.plan.document import DryerLoad

LEAST_TOP_UP_KG = 0.05
"""Below that a dryer is not said to be topped up."""


def until(start: datetime, end: datetime) -> str:
    """The end of a stretch: its time, with the day only where that is another."""
    return f"{end:%H:%M}" if start.date() == end.date() else wording.moment(end)


def dryer_hours(load: DryerLoad, hours: dict[str, float]) -> str:
    """How long and how hot a load dries."""
    at = "" if load.degrees_c is None else f" at {wording.number(load.degrees_c)} °C"
    return f"{wording.number(hours[load.resin], 1)} h{at}"


def dryer_filled(load: DryerLoad) -> str:
    """What goes in at first, and what tops it up."""
    if load.fill_kg is None or load.kg - load.fill_kg < LEAST_TOP_UP_KG:
        return f"{wording.kilograms(load.kg)} of {load.resin}"
    filled, whole = wording.kilograms(load.fill_kg), wording.kilograms(load.kg)
    return f"{filled} of {load.resin}, and keep it topped up ({whole} in all)"


def dryer_timer(load: DryerLoad, starts: datetime) -> str:
    """When the dryer starts, where that is not as it is filled: so long before the resin would come out overdried."""
    return "" if starts == load.load_at else f", timer starts it {wording.moment(starts)}"


def plain(text: str) -> str:
    """Without the marks that a page shows as code."""
    return text.replace("`", "")


def qr_code(address: str) -> list[int]:
    """The code as the bytes of a PNG."""
    out = io.BytesIO()
    segno.make(address, error="m", micro=False, mask=2).save(out, kind="png", border=0, scale=4)
    return list(out.getvalue())
