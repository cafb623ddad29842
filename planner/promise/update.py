"""The update for supporters: broken promises first, then where things stand by tier, what changed since, and why.

Every date in it is one that people were given before, or the day by which the simulation has a tier's last parcel gone
on at least the chosen share of floors; a tier for which there is no such day gets none.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from pydantic import Field

from planner.plan.document import PlanPart
from planner.promise.document import Promise, TierPromise
from planner.promise.supporters import Reasons


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


class BrokenPromise(PlanPart):
    """A day that people were given and that is not held any more."""

    tier: str
    promised: date | None = Field(description="the promised day, where it is not held; null: it is, or there was none")
    announced: date | None = Field(description="what was announced last; null: nothing yet")
    day: date | None = Field(description="the day to announce instead; null: none can be named yet")
    new: bool = Field(description="false: the last update said it, and what it announced still holds")
    sure: bool = Field(description="true: more likely late than not; false: it may still be kept, not surely enough")
    why: str = Field(description="in supporters' words; empty: the records do not say")


class Update(PlanPart):
    """An update as it was made: kept, so that the next one can say what changed."""

    document: Literal["update/1"] = "update/1"
    title: str
    as_of: date
    confidence: float
    floors: int
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
        news.append(line)
        if (late := _broken(line, tier, reasons)) is not None:
            broken.append(late)
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
        floors=promise.floors,
        broken=sorted(broken, key=_worst_first),
        tiers=news,
        changes=[*gone, *before.changes],
    )


def _broken(line: TierNews, tier: TierPromise, reasons: Reasons) -> BrokenPromise | None:
    """What is not held of the days people were given; None: all are. No day to name breaks whatever was given."""

    def missed(given: date | None) -> bool:
        return given is not None and (line.day is None or line.day > given)

    late_again = missed(line.before)
    if not late_again and not missed(line.promised):
        return None
    given = line.before if late_again else line.promised
    assert given is not None  # the one that is missed
    held, unsure = reasons.held.get(line.tier, ""), line.why
    return BrokenPromise(
        tier=line.tier,
        promised=line.promised if missed(line.promised) else None,
        announced=line.before,
        day=line.day,
        new=late_again or line.before is None,
        sure=tier.dates.p50 is None or tier.dates.p50 > given,
        why=(held or unsure) if tier.dates.planned > given else (unsure or held),
    )


def _worst_first(one: BrokenPromise) -> tuple[bool, bool, int]:
    given = one.promised or one.announced
    return not one.new, one.day is not None, -(one.day - given).days if one.day and given else 0
