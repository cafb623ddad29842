"""Drying: when to fill which dryer with how much, so that every run finds dried resin.

A dryer is a hopper that is filled, dries for the resin's hours, and is topped up as it is drawn from, first in first
out, as long as runs go on with little pause; that is one load. It holds one resin at a time and is cleaned before
another goes in. A load is dry when its first run draws, by the dryer's timer where nobody is there to start it.
"""

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise

MOST_WAIT_HOURS = 4.0
"""Hours after which dried resin should not be trusted unseen; common practice, no source."""

ROUNDING = 1e-9

BEFORE_LEAVING = timedelta(minutes=5)

There = tuple[datetime, datetime]
"""When somebody comes and leaves."""


@dataclass(frozen=True)
class Drying:
    """How a resin is dried: its dryer, hours, temperature in degrees C, the most the dryer holds, kg, and the hours it
    may stay in it once dry."""

    dryer: str
    hours: float
    degrees_c: float | None = None
    holds_kg: float | None = None
    keeps_hours: float = MOST_WAIT_HOURS


@dataclass(frozen=True)
class DryingDraw:
    """What a run draws of a resin, evenly from start to end, kg."""

    run: str
    resin: str
    start: datetime
    end: datetime
    kg: float


@dataclass(frozen=True)
class DryingLoad:
    """One filling of a dryer and what tops it up.

    kg: in all. load_at: put in. dry_at: dry. used_from, used_until: drawn by the runs named. caution: "" or what to
    mind. fill_kg: of kg, put in at first; None: all. waits_hours: longest that any of it stays in the dryer once dry.
    cleaned_from, cleaned_until: the dryer is cleaned before, of another resin.
    """

    dryer: str
    resin: str
    kg: float
    load_at: datetime
    dry_at: datetime
    used_from: datetime
    used_until: datetime
    runs: tuple[str, ...]
    caution: str
    fill_kg: float | None = None
    waits_hours: float = 0.0
    cleaned_from: datetime | None = None
    cleaned_until: datetime | None = None


def drying_loads(
    draws: Iterable[DryingDraw],
    drying: Mapping[str, Drying],
    people: Sequence[There] = (),
    cleaning: timedelta = timedelta(0),
) -> list[DryingLoad]:
    """Every load of every dryer, in order of loading. Resins that aren't in `drying` need none.

    people: when somebody is there to load and clean, in order; none: always. cleaning: between two resins.
    """
    by_dryer: dict[str, list[DryingDraw]] = {}
    for draw in draws:
        terms = drying.get(draw.resin)
        if terms is not None and terms.hours > 0 and draw.kg > 0:
            by_dryer.setdefault(terms.dryer, []).append(draw)
    there = _Hours(people)
    loads = [load for name in sorted(by_dryer) for load in _loads_of_one(by_dryer[name], drying, there, cleaning)]
    return sorted(loads, key=lambda load: (load.load_at.timestamp(), load.dryer))


class _Hours:
    """When dryers can be loaded: some minutes before people leave at the latest."""

    def __init__(self, people: Sequence[There]) -> None:
        self.spans = [(comes, max(comes, leaves - BEFORE_LEAVING)) for comes, leaves in people]
        self.starts = [comes for comes, _ in self.spans]

    def by(self, moment: datetime) -> datetime:
        """The moment, or the last one before it at which somebody is there."""
        n = bisect_right(self.starts, moment) - 1
        return moment if n < 0 else min(moment, self.spans[n][1])

    def clean(self, moment: datetime, takes: timedelta) -> datetime:
        """When cleaning that takes so long can begin at the earliest from then on, to be done in one go."""
        for comes, last in self.spans:
            begin = max(moment, comes)
            if begin + takes <= last:
                return begin
        return moment


def _loads_of_one(
    draws: list[DryingDraw], drying: Mapping[str, Drying], there: _Hours, cleaning: timedelta
) -> list[DryingLoad]:
    """The loads of one dryer: runs of one resin with a pause shorter than its drying are fed by one load."""
    spells: list[list[DryingDraw]] = []
    until = datetime.min.replace(tzinfo=UTC)
    for draw in sorted(draws, key=lambda d: (d.start.timestamp(), d.end.timestamp())):
        pause = timedelta(hours=drying[draw.resin].hours)
        if spells and spells[-1][0].resin == draw.resin and _utc(draw.start) - until < pause:
            spells[-1].append(draw)
        else:
            spells.append([draw])
        until = max(until, _utc(draw.end))
    loads = []
    before: list[DryingDraw] = []
    for spell in spells:
        loads.append(_load(spell, before, drying[spell[0].resin], there, cleaning))
        before = spell
    return loads


def _load(
    spell: list[DryingDraw], before: list[DryingDraw], terms: Drying, there: _Hours, cleaning: timedelta
) -> DryingLoad:
    zone = spell[0].start.tzinfo
    first, last = _utc(spell[0].start), max(_utc(draw.end) for draw in spell)
    drying, total = timedelta(hours=terms.hours), sum(draw.kg for draw in spell)
    load_at = there.by(first - drying)
    other = bool(before) and before[0].resin != spell[0].resin
    cleaned = there.clean(max(_utc(draw.end) for draw in before), cleaning) if other else None
    most = total
    if terms.holds_kg is not None:
        still_in_it = 0.0 if other else sum(_between(draw, load_at, first) for draw in before)
        most = min(total, terms.holds_kg - still_in_it)
    lasts = timedelta(hours=min(terms.keeps_hours, max(MOST_WAIT_HOURS, terms.hours)))
    fill = min(most, sum(_between(draw, first, first + lasts) for draw in spell))
    waits = _longest_wait(spell, fill, first, last, drying, there)
    resin = spell[0].resin
    return DryingLoad(
        dryer=terms.dryer,
        resin=resin,
        kg=total,
        load_at=load_at.astimezone(zone),
        dry_at=first.astimezone(zone),
        used_from=first.astimezone(zone),
        used_until=last.astimezone(zone),
        runs=tuple(dict.fromkeys(draw.run for draw in spell)),
        caution=_caution(resin, waits) if waits * 3600 > MOST_WAIT_HOURS * 3600 + 1 else "",
        fill_kg=fill,
        waits_hours=waits,
        cleaned_from=cleaned.astimezone(zone) if cleaned else None,
        cleaned_until=(cleaned + cleaning).astimezone(zone) if cleaned else None,
    )


def _longest_wait(
    spell: list[DryingDraw], fill: float, first: datetime, last: datetime, drying: timedelta, there: _Hours
) -> float:
    """Longest that any of a load stays in the dryer once dry, h: the last of what was filled in, or of what topped it
    up when somebody was last there in time."""
    moments = sorted({moment for draw in spell for moment in (_utc(draw.start), _utc(draw.end))})
    filled_until, drawn = last, 0.0
    for since, until in pairwise(moments):
        here = sum(_between(draw, since, until) for draw in spell)
        if drawn + here >= fill - ROUNDING:
            filled_until = since + (until - since) * (min(1.0, max(0.0, (fill - drawn) / here)) if here > 0 else 0.0)
            break
        drawn += here
    longest = filled_until - first
    # what is drawn just before somebody's next coming could be dry has waited longest since they left
    comings = [comes + drying for comes in there.starts if filled_until < comes + drying < last]
    for moment in (*comings, last):
        if moment > filled_until:
            longest = max(longest, moment - drying - there.by(moment - drying - timedelta(seconds=1)))
    return max(0.0, longest.total_seconds() / 3600)


def _between(draw: DryingDraw, since: datetime, until: datetime) -> float:
    """What is drawn from one moment to another, kg."""
    start, end = _utc(draw.start), _utc(draw.end)
    if end <= start:
        return draw.kg if since <= start < until else 0.0
    overlap = min(end, until) - max(start, since)
    return draw.kg * max(0.0, overlap.total_seconds()) / (end - start).total_seconds()


def _utc(moment: datetime) -> datetime:
    return moment.astimezone(UTC)


def _caution(resin: str, hours: float) -> str:
    return (
        f"Dried `{resin}` stays in its dryer up to {hours:.1f} h before it is moulded: keep the dryer closed and in "
        "dry air, at the temperature its data sheet gives for waiting, or dry it again."
    )
