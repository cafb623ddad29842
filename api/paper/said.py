"""What several sheets say alike: until when, what a dryer is filled with, text without marks, a code to scan."""

import io
from datetime import datetime

import segno

from api.languages import gettext, wording
from planner.plan.document import DryerLoad

LEAST_TOP_UP_KG = 0.05
"""Below that a dryer is not said to be topped up."""


def until(start: datetime, end: datetime) -> str:
    """The end of a stretch: its time, with the day only where that is another."""
    return f"{end:%H:%M}" if start.date() == end.date() else wording.moment(end)


def dryer_hours(load: DryerLoad, hours: dict[str, float]) -> str:
    """How long and how hot a load dries."""
    lasts = {"hours": wording.number(hours[load.resin], 1)}
    if load.degrees_c is None:
        return gettext("%(hours)s h") % lasts
    return gettext("%(hours)s h at %(degrees)s") % (lasts | {"degrees": f"{wording.number(load.degrees_c)} °C"})


def dryer_filled(load: DryerLoad) -> str:
    """What goes in at first, and what tops it up."""
    if load.fill_kg is None or load.kg - load.fill_kg < LEAST_TOP_UP_KG:
        return gettext("%(kg)s of %(resin)s") % {"kg": wording.kilograms(load.kg), "resin": load.resin}
    said = {"kg": wording.kilograms(load.fill_kg), "resin": load.resin, "whole": wording.kilograms(load.kg)}
    return gettext("%(kg)s of %(resin)s, and keep it topped up (%(whole)s in all)") % said


def dryer_timer(load: DryerLoad, starts: datetime) -> str:
    """When the dryer starts, where that is not as it is filled: so long before the resin would come out overdried."""
    if starts == load.load_at:
        return ""
    return ", " + gettext("timer starts it %(when)s") % {"when": wording.moment(starts)}


def from_to(start: datetime, end: datetime) -> str:
    """`Mon 11 Jan 2027 06:00 to 14:00`."""
    return gettext("%(start)s to %(end)s") % {"start": wording.moment(start), "end": until(start, end)}


def plain(text: str) -> str:
    """Without the marks that a page shows as code."""
    return text.replace("`", "")


def qr_code(address: str) -> list[int]:
    """The code as the bytes of a PNG."""
    out = io.BytesIO()
    segno.make(address, error="m", micro=False, mask=2).save(out, kind="png", border=0, scale=4)
    return list(out.getvalue())
