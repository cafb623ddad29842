"""Dryers that are loaded or heat up when nobody is there, by the hours of presses and benches, or before the start."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from planner.campaign import Campaign
from planner.campaign.hours import Open, spans, weekly
from planner.cautions import texts
from planner.cautions.texts import caution
from planner.material import DryingLoad
from planner.plan.document import Caution
from planner.wording import moment


def unattended_loads(campaign: Campaign, loads: Sequence[DryingLoad]) -> Iterator[Caution]:
    """One caution for each dryer that somebody would have to load at such a time, or that its timer starts then."""
    by_dryer: dict[str, list[datetime]] = {}
    for load in loads:
        early = load.load_at.replace(tzinfo=None) < campaign.start
        starts = heats_from(load.load_at, load.dry_at, campaign.resins[load.resin].drying_hours)
        if early or not (somebody_there(campaign, load.load_at) and somebody_there(campaign, starts)):
            by_dryer.setdefault(load.dryer, []).append(starts)
    for dryer, moments in sorted(by_dryer.items()):
        first, count = min(moments, key=lambda m: m.timestamp()), len(moments)
        times = "once" if count == 1 else f"{count} times"
        text = texts.UNATTENDED.format(dryer=dryer, times=times, first=moment(first))
        yield caution(f"unattended {dryer}", text, texts.DRYING_SOURCE)


def heats_from(load_at: datetime, dry_at: datetime, hours: float) -> datetime:
    """When a dryer starts: as it is loaded, or later, by its timer, so that it is dry just when that is asked for."""
    starts = datetime.fromtimestamp(dry_at.timestamp() - 3600 * hours, dry_at.tzinfo)
    return starts if starts.timestamp() > load_at.timestamp() + 60 else load_at


def somebody_there(campaign: Campaign, moment: datetime) -> bool:
    """Whether a press or a bench of ours is open at that moment (local time)."""
    ours = [press for press in campaign.presses.values() if press.place is None]
    places: list[Open] = [*ours, campaign.assembly, campaign.packing]
    return any(_open(place, campaign, moment) for place in places)


def _open(place: Open, campaign: Campaign, moment: datetime) -> bool:
    """Whether a span of that day, or of the day before past midnight, covers the moment."""
    week = weekly(place.hours)
    minutes = moment.hour * 60 + moment.minute
    for back, now in ((0, minutes), (1, minutes + 1440)):
        day = moment.date() - timedelta(days=back)
        if day in place.on_dates:
            today = spans(place.on_dates[day])
        elif day in campaign.closed_days:
            today = ()
        else:
            today = week.get(day.weekday(), ())
        if any(span.start <= now < span.end for span in today):
            return True
    return False
