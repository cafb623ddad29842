"""The update for supporters: broken promises first, then where things stand by tier, what changed since, and why.

Every date in it is one that people were given before, or the day by which the simulation has a tier's last parcel gone
on at least the chosen share of replications; a tier for which there is no such day gets none.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Literal, NamedTuple

from pydantic import ConfigDict, Field

from planner.plan.document import PlanPart
from planner.promise.document import Dates, Promise, TierPromise
from planner.promise.supporters import Reasons

Given = Literal["hand-over", "door"]
"""What a day is given of: that parcels have left, or that they are at the door."""


class RegionNews(PlanPart):
    """Of a tier whose regions are promised days of their own, or the door: one of them."""

    region: str
    parcels: int = Field(description="still to leave")
    promised: date | None
    promised_to: Given = "hand-over"
    day: date | None = Field(description="the day to announce, of what is promised; null: none can be named")
    before: date | None = Field(description="what was announced last; null: nothing yet")


class TierNews(PlanPart):
    """One line of the update."""

    tier: str
    parcels: int = Field(description="still to leave")
    packed: int = Field(description="packed already")
    promised: date | None = Field(
        default=None, description="the day promised: as the first update that was kept had it, else as the campaign has"
    )
    day: date | None = Field(description="the day to announce at the confidence; null: none can be named")
    before: date | None = Field(description="what was announced last; null: nothing yet")
    why: str = Field(description="what may yet move the date, in supporters' words; empty: nothing to say")
    regions: list[RegionNews] = Field(
        default=[], description="where days are promised by region, or at the door; empty: the tier's own day counts"
    )


class BrokenPromise(PlanPart):
    """A day that people were given and that is not held any more."""

    tier: str
    region: str = Field(default="", description="whose parcels; empty: all of the tier's")
    promised_to: Given = "hand-over"
    promised: date | None = Field(description="the promised day, where it is not held; null: it is, or there was none")
    announced: date | None = Field(description="what was announced last; null: nothing yet")
    day: date | None = Field(description="the day to announce instead; null: none can be named yet")
    new: bool = Field(description="false: the last update said it, and what it announced still holds")
    sure: bool = Field(description="true: more likely late than not; false: it may still be kept, not surely enough")
    why: str = Field(description="in supporters' words; empty: the records do not say")


class Update(PlanPart):
    """An update as it was made: kept, so that the next one can say what changed."""

    model_config = ConfigDict(serialize_by_alias=True)

    document: Literal["update/1"] = "update/1"
    title: str
    as_of: date
    confidence: float
    replications: int = Field(alias="floors")
    broken: list[BrokenPromise] = Field(default=[], description="news first, then by days; said before anything else")
    tiers: list[TierNews]
    changes: list[str] = Field(description="what changed since the last update, in words, from the records only")
    text: str = Field(default="", description="as it was sent, in the maker's own words; empty: as made from the rest")


@dataclass(frozen=True)
class Before:
    """What came before an update. packed: tier -> parcels packed. last: the last one kept. changes: recorded changes
    since, in words."""

    packed: Mapping[str, int] = field(default_factory=dict)
    last: Update | None = None
    changes: Sequence[str] = ()


def make_update(title: str, promise: Promise, as_of: date, before: Before, reasons: Reasons | None = None) -> Update:
    """Read an update off a promise."""
    reasons = reasons or Reasons()
    told = {t.tier: t for t in before.last.tiers} if before.last else {}
    news, broken = [], []
    for tier in promise.tiers:
        was = told.get(tier.tier)
        promised = was.promised if was is not None and was.promised is not None else tier.promised
        line = TierNews(
            tier=tier.tier,
            parcels=tier.parcels,
            packed=before.packed.get(tier.tier, 0),
            promised=promised,
            day=tier.announce,
            before=None if was is None else was.day,
            why=reasons.unsure.get(tier.tier, ""),
        )
        regions = _regions(tier, was)
        news.append(line.model_copy(update={"regions": regions}))
        days = [_Day(line.tier, "", line.promised, "hand-over", line.before, line.day, tier.dates)]
        if regions:
            days = [_of_region(tier, one) for one in regions]
        broken += [late for day in days if (late := _broken(day, line.why, reasons)) is not None]
    here = {n.tier for n in news}
    gone = [
        f"{name}: every parcel is packed" if before.packed.get(name) else f"{name}: nothing is left to send"
        for name in told
        if name not in here
    ]
    return Update(
        title=title,
        as_of=as_of,
        confidence=promise.confidence,
        replications=promise.replications,
        broken=sorted(broken, key=_worst_first),
        tiers=news,
        changes=[*gone, *before.changes],
    )


class _Day(NamedTuple):
    """A day that people were given of a tier, or of its parcels for a region, and the day to announce now."""

    tier: str
    region: str
    promised: date | None
    to: Given
    before: date | None
    day: date | None
    dates: Dates


def _regions(tier: TierPromise, was: TierNews | None) -> list[RegionNews]:
    """Where regions are promised days of their own, or the door; none where one day of the tier's says it all."""
    own = {one.promised for one in tier.regions}
    if not any(own) or (len(own) == 1 and tier.promised_to == "hand-over"):
        return []
    told = {one.region: one for one in was.regions} if was is not None else {}
    return [
        RegionNews(
            region=one.region,
            parcels=one.parcels,
            promised=told[one.region].promised if one.region in told else one.promised,
            promised_to=tier.promised_to,
            day=one.door.announce if tier.promised_to == "door" and one.door is not None else one.announce,
            before=told[one.region].day if one.region in told else None,
        )
        for one in tier.regions
    ]


def _of_region(tier: TierPromise, news: RegionNews) -> _Day:
    one = next(region for region in tier.regions if region.region == news.region)
    dates = one.dates
    if tier.promised_to == "door" and one.door is not None:
        dates = dates.model_copy(update={"p50": one.door.p50, "p80": one.door.p80, "p95": one.door.p95})
    return _Day(tier.tier, news.region, news.promised, tier.promised_to, news.before, news.day, dates)


def _broken(one: _Day, unsure: str, reasons: Reasons) -> BrokenPromise | None:
    """What is not held of the days people were given; None: all are. No day to name breaks whatever was given."""

    def missed(given: date | None) -> bool:
        return given is not None and (one.day is None or one.day > given)

    late_again = missed(one.before)
    if not late_again and not missed(one.promised):
        return None
    given = one.before if late_again else one.promised
    assert given is not None  # the one that is missed
    held = reasons.held.get(one.tier, "")
    return BrokenPromise(
        tier=one.tier,
        region=one.region,
        promised_to=one.to,
        promised=one.promised if missed(one.promised) else None,
        announced=one.before,
        day=one.day,
        new=late_again or one.before is None,
        sure=one.dates.p50 is None or one.dates.p50 > given,
        why=(held or unsure) if one.dates.planned > given else (unsure or held),
    )


def _worst_first(one: BrokenPromise) -> tuple[bool, bool, int]:
    given = one.promised or one.announced
    return not one.new, one.day is not None, -(one.day - given).days if one.day and given else 0
