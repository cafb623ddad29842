"""Drying: when to load which dryer with how much, so that every run finds dried resin.

A dryer dries one load at a time, for the resin's hours. Loads are planned backwards from their use, so each is dry as
late as it can be, and none is larger than what is drawn before it has waited too long: the rest is dried fresh. Where a
dryer is shared, or too small for what the press draws, earlier loads must be dry earlier and wait.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from math import ceil

MOST_WAIT_HOURS = 4.0
"""Hours after which dried resin in an open hopper should not be trusted; common practice, no source."""

ROUNDING = 1e-9

BEFORE_LEAVING = timedelta(minutes=5)

There = tuple[datetime, datetime]
"""When somebody comes and leaves."""


@dataclass(frozen=True)
class Drying:
    """How a resin is dried: its dryer, hours, temperature in degrees C, and the most the dryer holds, kg."""

    dryer: str
    hours: float
    degrees_c: float | None = None
    holds_kg: float | None = None


@dataclass(frozen=True)
class DryingDraw:
    """What a run draws of a resin between two closings, evenly from start to end, kg (changeover included)."""

    run: str
    resin: str
    start: datetime
    end: datetime
    kg: float


@dataclass(frozen=True)
class DryingLoad:
    """One filling of a dryer.

    load_at: put in. dry_at: dry. used_from, used_until: drawn by the runs named. caution: "" or what to mind.
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

    @property
    def waits_hours(self) -> float:
        """Hours from dry to used up."""
        return (self.used_until.astimezone(UTC) - self.dry_at.astimezone(UTC)).total_seconds() / 3600


def drying_loads(
    draws: Iterable[DryingDraw],
    drying: Mapping[str, Drying],
    most_wait_hours: float = MOST_WAIT_HOURS,
    people: Sequence[There] = (),
) -> list[DryingLoad]:
    """Every load of every dryer, in order of loading. Resins that aren't in `drying` need none.

    people: when somebody is there to load, in order; none: always.
    """
    wanted: dict[str, list[_Portion]] = {}
    for draw in draws:
        terms = drying.get(draw.resin)
        if terms is not None and terms.hours > 0 and draw.kg > 0:
            wanted.setdefault(terms.dryer, []).extend(_portions(draw, terms, most_wait_hours))
    loads = [
        load
        for dryer in sorted(wanted)
        for load in _backwards(_merged(wanted[dryer], drying, most_wait_hours), drying, most_wait_hours, people)
    ]
    return sorted(loads, key=lambda load: (load.load_at.timestamp(), load.dryer))


@dataclass(frozen=True)
class _Portion:
    resin: str
    kg: float
    first: datetime
    last: datetime
    runs: tuple[str, ...]


def _portions(draw: DryingDraw, terms: Drying, most_wait_hours: float) -> Iterable[_Portion]:
    """A draw cut into loads, each with the time in which it is drawn: no more than the dryer holds and what keeps."""
    start = draw.start.astimezone(UTC)
    seconds = (draw.end.astimezone(UTC) - start).total_seconds()
    most = min(terms.holds_kg or draw.kg, draw.kg * _share_that_keeps(seconds / 3600, terms.hours, most_wait_hours))
    done = 0.0
    while draw.kg - done > ROUNDING:
        kg = min(most, draw.kg - done)
        first, last = (
            (start + timedelta(seconds=int(seconds * share / draw.kg))).astimezone(draw.start.tzinfo)
            for share in (done, done + kg)
        )
        yield _Portion(draw.resin, kg, first, last, (draw.run,))
        done += kg


def _share_that_keeps(drawn_hours: float, drying_hours: float, most_wait_hours: float) -> float:
    """The share of a draw that one load may be: equal loads where the last of them can still be dried in turn.

    A load is never drawn in less time than the next one takes to dry; so it waits that long where drying is slow.
    """
    longest = max(most_wait_hours, drying_hours)
    if drawn_hours <= longest:
        return 1.0
    loads = ceil(drawn_hours / longest)
    each = drawn_hours / loads
    waits = each + (loads - 1) * max(0.0, drying_hours - each)
    return 1 / loads if waits <= longest else longest / drawn_hours


def _merged(portions: Sequence[_Portion], drying: Mapping[str, Drying], most_wait_hours: float) -> list[_Portion]:
    """In order of use; neighbours of one resin that fit into the dryer together and keep that long are one load."""
    merged: list[_Portion] = []
    for portion in sorted(portions, key=lambda p: (p.first.timestamp(), p.resin)):
        before = merged[-1] if merged else None
        holds = drying[portion.resin].holds_kg
        if (
            before is not None
            and holds is not None
            and before.resin == portion.resin
            and before.kg + portion.kg <= holds + ROUNDING
            and before.first.date() == portion.first.date()
            and portion.last.timestamp() - before.first.timestamp()
            <= 3600 * max(most_wait_hours, drying[portion.resin].hours)
        ):
            runs = tuple(dict.fromkeys(before.runs + portion.runs))
            last = max(before.last, portion.last, key=lambda m: m.timestamp())
            merged[-1] = _Portion(before.resin, before.kg + portion.kg, before.first, last, runs)
        else:
            merged.append(portion)
    return merged


def _backwards(
    portions: Sequence[_Portion], drying: Mapping[str, Drying], most_wait_hours: float, people: Sequence[There]
) -> Iterable[DryingLoad]:
    """Dry each load as late as it can be, the last one first; loaded while somebody is there."""
    free_until: datetime | None = None
    for portion in reversed(portions):
        terms = drying[portion.resin]
        zone = portion.first.tzinfo
        dry_at = portion.first.astimezone(UTC)
        if free_until is not None:
            dry_at = min(dry_at, free_until)
        load_at = _somebody_there(dry_at - timedelta(hours=terms.hours), people)
        dry_at = load_at + timedelta(hours=terms.hours)
        free_until = load_at
        waits = (portion.last.astimezone(UTC) - dry_at).total_seconds() / 3600
        yield DryingLoad(
            dryer=terms.dryer,
            resin=portion.resin,
            kg=portion.kg,
            load_at=load_at.astimezone(zone),
            dry_at=dry_at.astimezone(zone),
            used_from=portion.first,
            used_until=portion.last,
            runs=portion.runs,
            caution=_caution(portion.resin, waits) if waits * 3600 > most_wait_hours * 3600 + 1 else "",
        )


def _somebody_there(moment: datetime, people: Sequence[There]) -> datetime:
    """The moment, or the last one before it at which somebody is there, some minutes before they leave."""
    before = [one for one in people if one[0] <= moment]
    if not before or moment < before[-1][1]:
        return moment
    comes, leaves = before[-1]
    return max(comes, leaves - BEFORE_LEAVING)


def _caution(resin: str, hours: float) -> str:
    return (
        f"Dried `{resin}` waits up to {hours:.1f} h before it is moulded: keep it in dry air or a closed drum, "
        "or dry it again."
    )
