"""Under the presses: the benches' work, and each tier's pick-ups with its promised day."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from operator import attrgetter
from typing import TypeVar

from api.languages import gettext, wording
from api.languages.sentences import said
from api.pictures.floor.hours import Span, closed, opening
from api.pictures.floor.lanes import Items
from api.pictures.floor.scale import MARGIN, Scale
from api.services.standing_promise import Sure, percentile
from planner.campaign import Campaign
from planner.plan import RunPlan
from planner.plan.document import Assembly, FinishingJob, PackBatch
from planner.plan.finished import LotVisit
from planner.plan.finishing import BROUGHT, TAKEN
from planner.promise.document import CONFIDENCE

MOST_APART = 260
"""Jobs on a bench that are drawn one by one; beyond, they would be narrower than a line."""

Job = TypeVar("Job", Assembly, PackBatch, FinishingJob)


@dataclass(frozen=True)
class Work:
    """A job on a bench. needs: numbers of the moulded items it takes."""

    pieces: list[tuple[float, float]]
    says: str
    batch: str
    needs: list[int]


@dataclass(frozen=True)
class BenchRow:
    """A bench. closed: stretches in which nobody is there."""

    name: str
    y: float
    jobs: list[Work]
    closed: list[tuple[float, float]]


@dataclass(frozen=True)
class Peg:
    """A tier's parcels on one pick-up. size: radius, by the share of the tier that leaves."""

    x: float
    size: float
    says: str


@dataclass(frozen=True)
class Row:
    """One tier. promise: x of the end of its promised day; late: from there to its last pick-up.

    band: left edge and width from P50 to P95 of its last day; announced: x of the day at the chance picked; beyond: the
    band passes the sheet.
    """

    tier: str
    y: float
    verdict: str
    line: tuple[float, float] | None
    pegs: list[Peg]
    promise: float | None
    promise_says: str
    late: tuple[float, float] | None
    band: tuple[float, float] | None = None
    announced: float | None = None
    beyond: bool = False
    band_says: str = ""

    @property
    def seen(self) -> bool:
        """Whether the sheet shows anything of it."""
        return bool(self.line or self.pegs or self.band) or self.promise is not None


def assembly(plan: RunPlan, campaign: Campaign, scale: Scale, y: float, items: Items) -> BenchRow:
    """Every assembly job the sheet shows, or each shift's where they are too many to tell apart."""
    opened = opening(campaign.assembly, campaign, scale)
    jobs = between(sorted(plan.assembly, key=attrgetter("start", "end")), scale.start, scale.end)
    needs = {(job.product, job.colourway): _needs(job, campaign, items) for job in jobs}
    if len(jobs) > MOST_APART:
        shown = []
        for start, end in opened:
            at_work = between(jobs, start, end)
            if at_work and (span := scale.clipped(start, end, 0.8)):
                says = gettext("assembly, %(day)s: %(jobs)s") % {
                    "day": wording.day(start),
                    "jobs": wording.counted(len(at_work), "job"),
                }
                taken = sorted(set().union(*(needs[job.product, job.colourway] for job in at_work)))
                shown.append(Work([span], says, "", taken))
        return BenchRow(gettext("assembly bench"), y, shown, closed(opened, scale))
    shown = []
    for job in jobs:
        says = gettext("%(id)s: %(n)s %(what)s for %(batch)s, %(from)s to %(to)s") % {
            "id": wording.work_name(job.id),
            "n": wording.number(job.units),
            "what": f"{job.product} {job.colourway}",
            "batch": wording.work_name(job.batch),
            **_from_to(job.start, job.end),
        }
        if pieces := within(job.start, job.end, opened, scale):
            shown.append(Work(pieces, says, job.batch, sorted(needs[job.product, job.colourway])))
    return BenchRow(gettext("assembly bench"), y, shown, closed(opened, scale))


def finishing(plan: RunPlan, campaign: Campaign, scale: Scale, y: float, height: float) -> list[BenchRow]:
    """A row for each bench between press and assembly that has work the sheet shows, then one for each other place and
    firm: lots from when they leave to when they are here."""
    found: list[BenchRow] = []
    batch_of = {job.id: job.batch for job in plan.assembly}
    for name, bench in campaign.finishing_benches.items():
        opened = opening(bench, campaign, scale)
        jobs = sorted((job for job in plan.finishing if job.bench == name), key=attrgetter("start", "end"))
        shown = []
        for job in between(jobs, scale.start, scale.end)[:MOST_APART]:
            done = {"bench": name, "what": wording.bench_work(job), **_from_to(job.start, job.end)}
            says = gettext("%(bench)s: %(what)s, %(from)s to %(to)s") % done
            if pieces := within(job.start, job.end, opened, scale):
                shown.append(Work(pieces, says, batch_of.get(job.assembly, ""), []))
        found += [BenchRow(name, y + len(found) * height, shown, closed(opened, scale))] if jobs else []
    for name in [*campaign.places, *campaign.finishing_firms]:
        away = []
        for lot in plan.finishing_lots:
            for visit in lot.visits:
                span = scale.clipped(visit.leaves, visit.back, 0.8) if visit.firm == name else None
                if span:
                    away.append(
                        Work(
                            [span],
                            _away(visit)
                            % {
                                "parts": f"{wording.number(visit.parts)} {lot.part} {'/'.join(lot.colours)}",
                                "place": name,
                                "what": ", ".join(map(said, visit.what)),
                                **_from_to(visit.leaves, visit.back),
                            },
                            lot.id,
                            [],
                        )
                    )
        for carried in plan.carried:
            for visit in carried.visits:
                span = scale.clipped(visit.leaves, visit.back, 0.8) if visit.firm == name else None
                if span:
                    says = _away(visit) % {
                        "parts": carried.of,
                        "place": name,
                        "what": ", ".join(map(said, visit.what)),
                        **_from_to(visit.leaves, visit.back),
                    }
                    away.append(Work([span], says, batch_of.get(carried.to, carried.to), []))
        found += [BenchRow(name, y + len(found) * height, away, [])] if away else []
    return found


def _away(visit: LotVisit) -> str:
    if visit.what == [BROUGHT]:
        return gettext("%(parts)s on the way from %(place)s: %(what)s, %(from)s to %(to)s")
    if visit.what == [TAKEN]:
        return gettext("%(parts)s on the way to %(place)s: %(what)s, %(from)s to %(to)s")
    return gettext("%(parts)s away at %(place)s: %(what)s, %(from)s to %(to)s")


def _from_to(start: datetime, end: datetime) -> dict[str, str]:
    return {"from": wording.moment(start), "to": wording.moment(end)}


def packing(plan: RunPlan, campaign: Campaign, scale: Scale, y: float) -> BenchRow:
    """Every pack batch the sheet shows, or each shift's where they are too many to tell apart."""
    opened = opening(campaign.packing, campaign, scale)
    batches = between(sorted(plan.batches, key=attrgetter("start", "end")), scale.start, scale.end)
    shown = []
    if len(batches) > MOST_APART:
        for start, end in opened:
            at_work = between(batches, start, end)
            if at_work and (span := scale.clipped(start, end, 0.8)):
                says = gettext("packing, %(day)s: %(batches)s") % {
                    "day": wording.day(start),
                    "batches": wording.counted(len(at_work), "pack batch", "pack batches"),
                }
                shown.append(Work([span], says, "", []))
        return BenchRow(gettext("packing bench"), y, shown, closed(opened, scale))
    for batch in batches:
        says = gettext("%(id)s: %(parcels)s %(tier)s to %(region)s, %(from)s to %(to)s, leaves with %(dispatch)s") % {
            "id": wording.work_name(batch.id),
            "parcels": wording.counted(batch.parcels, "parcel"),
            "tier": batch.tier,
            "region": wording.region(batch.region),
            "dispatch": wording.work_name(batch.dispatch),
            **_from_to(batch.start, batch.end),
        }
        if pieces := within(batch.start, batch.end, opened, scale):
            shown.append(Work(pieces, says, batch.id, []))
    return BenchRow(gettext("packing bench"), y, shown, closed(opened, scale))


def between(jobs: Sequence[Job], start: datetime, end: datetime) -> Sequence[Job]:
    """The jobs worked on from start to end, of a bench's jobs in order of work: one at a time, so ends rise too."""
    return jobs[bisect_right(jobs, start, key=lambda job: job.end) : bisect_left(jobs, end, key=lambda job: job.start)]


def within(start: datetime, end: datetime, opened: list[Span], scale: Scale) -> list[tuple[float, float]]:
    """The pieces of a job inside opening hours, as the sheet shows them."""
    at = bisect_right(opened, start, key=lambda span: span[1])
    found = []
    while at < len(opened) and opened[at][0] < end:
        piece = scale.clipped(max(start, opened[at][0]), min(end, opened[at][1]), 0.8)
        found += [piece] if piece else []
        at += 1
    return found


def _needs(job: Assembly, campaign: Campaign, items: Items) -> set[int]:
    colours = campaign.products[job.product].colourways[job.colourway]
    return {items[part, tuple(names)] for part, names in colours.items() if (part, tuple(names)) in items}


def rows(plan: RunPlan, scale: Scale, top: float, height: float, sure: dict[str, Sure]) -> list[Row]:
    """The tiers of which the sheet shows anything, in the plan's order, each with its pegs. sure: by tier, if known."""
    leaving: dict[str, dict[datetime, int]] = {}
    at = {dispatch.id: dispatch.at for dispatch in plan.dispatches}
    for batch in plan.batches:
        by_pick_up = leaving.setdefault(batch.tier, {})
        by_pick_up[at[batch.dispatch]] = by_pick_up.get(at[batch.dispatch], 0) + batch.parcels
    found: list[Row] = []
    for tier in plan.tiers:
        by_moment = sorted(leaving.get(tier.tier, {}).items())
        pegs = [
            Peg(scale.x(moment), 2.5 + 5.5 * (count / tier.parcels) ** 0.5,
                gettext("%(tier)s: %(parcels)s leave %(when)s")
                % {"tier": tier.tier, "parcels": wording.counted(count, "parcel"), "when": wording.moment(moment)})
            for moment, count in by_moment
            if scale.shows(moment)
        ]  # fmt: skip
        due = None if tier.promised is None else end_of(tier.promised, scale)
        one = sure.get(tier.tier)
        row = Row(
            tier=tier.tier,
            y=top + len(found) * height,
            verdict=short_verdict(tier.days_late, tier.promised is not None, one.chance if one else None),
            line=scale.clipped(tier.first_dispatch, tier.last_dispatch),
            pegs=pegs,
            promise=scale.x(due) if due is not None and scale.shows(due) else None,
            promise_says=gettext("%(tier)s promised by %(day)s")
            % {"tier": tier.tier, "day": wording.day(tier.promised)},
            late=scale.clipped(due, tier.last_dispatch) if due is not None and tier.days_late else None,
            band=scale.clipped(end_of(one.p50, scale), end_of(one.p95, scale), 2) if one else None,
            announced=scale.x(likely) if one and scale.shows(likely := end_of(one.by, scale)) else None,
            beyond=one is not None and scale.x(end_of(one.p95, scale)) > scale.width - MARGIN + 0.5,
            band_says=f"{tier.tier}, {band_says(one)}" if one else "",
        )
        found += [row] if row.seen else []
    return found


def short_verdict(days_late: int, promised: bool, chance: float | None) -> str:
    """What `wording.kept` says, in as many letters as the gutter holds."""
    if not promised:
        return gettext("nothing promised")
    if days_late:
        return gettext("%(days)s late") % {"days": wording.days(days_late)}
    if chance is None:
        return gettext("on time as planned")
    if chance < wording.EVEN:
        return gettext("likely late")
    kept = gettext("kept in %(share)s") if chance >= wording.SAFE else gettext("only kept in %(share)s")
    return kept % {"share": wording.per_cent(chance)}


def end_of(day: date, scale: Scale) -> datetime:
    """The moment at which the day is over."""
    return datetime.combine(day + timedelta(days=1), time(), scale.zone)


def band_says(one: Sure) -> str:
    """How sure a tier's last day is, in words."""
    told = gettext(
        "last parcel gone: even odds by %(p50)s (P50), %(share)s likely by %(by)s (%(percentile)s), almost certain by "
        "%(p95)s (P95)"
    ) % {
        "p50": wording.day(one.p50),
        "share": wording.chance(one.share),
        "by": wording.day(one.by),
        "percentile": one.percentile,
        "p95": wording.day(one.p95),
    }
    if one.chance is None:
        return told
    return f"{told}; {gettext('the promised day holds in %(share)s') % {'share': wording.per_cent(one.chance)}}"


def upright(sure: Iterable[Sure]) -> str:
    """What the upright line of a tier's last day says."""
    share = next((one.share for one in sure), CONFIDENCE)
    return gettext("upright: %(share)s likely (%(percentile)s)") % {
        "share": wording.chance(share), "percentile": percentile(share)
    }  # fmt: skip


def all_gone(plan: RunPlan) -> str:
    """By when the last parcel of each tier is gone, for whoever hears a picture."""
    one = gettext("%(tier)s all gone %(day)s")
    return "; ".join(one % {"tier": tier.tier, "day": wording.day(tier.last_dispatch)} for tier in plan.tiers)
