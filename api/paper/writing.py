"""The paper's content from a published plan and its campaign."""

from collections.abc import Iterator

from api.languages import wording
from api.paper.content import (
    BenchWork,
    Buying,
    Check,
    Consignment,
    EitherWay,
    PackLine,
    Paper,
    PickUpSheet,
    RegionSure,
    RunSheet,
    Sample,
    TierSure,
    Way,
)
from api.paper.melts import melts_of, settings_of
from api.services.standing_promise import HowSure
from planner.campaign import Campaign
from planner.campaign.resin_nature import nature
from planner.campaign.unknown_melts import UNKNOWN
from planner.cautions.rules import cleans_with_compound, fumes_of, handled_in, throws_melt
from planner.cautions.texts import COMPOUND_ABOUT, DWELL_ABOUT, FUMES
from planner.cautions.unattended import heats_from
from planner.plan import RunPlan
from planner.plan.averages import Branches
from planner.plan.document import Caution, Dispatch, PackBatch, Run
from planner.plan.finished import FinishedPart, FinishingJob
from planner.plan.run_names import RunNames
from planner.plan.sampling import DefectSample
from planner.promise.said import left_out
from planner.quality.inspection import DefectCheck, DefectKind, check_for


def _steps(parts: list[FinishedPart]) -> list[str]:
    return [what for part in parts for what in part.what]


DEFECTS = (DefectKind("cannot be used", 0.65), DefectKind("looks poor", 2.5))
"""Kinds of defect with their AQL in per cent at level II: common practice for a consumer product; agree your own."""


def write_paper(plan: RunPlan, campaign: Campaign, revision: int, address: str, sure: HowSure | None = None) -> Paper:
    """Everything the sheets say. address: of the plan's pages, to which the codes on the run sheets lead."""
    known = (sure.tiers if sure else None) or {}
    batches, called = {batch.id: batch for batch in plan.batches}, RunNames(plan.runs)
    mean = plan.outcome.expected
    return Paper(
        name=plan.name,
        revision=revision,
        currency=plan.currency,
        time_zone=plan.time_zone,
        start=plan.start.date(),
        total=plan.outcome.total,
        lower_bound=plan.outcome.lower_bound,
        gap=plan.outcome.avoidable_gap,
        mean=mean.mean if mean else None,
        mean_bound=mean.bound if mean else None,
        chance_all=mean.chance_all if mean else None,
        when_late=mean.policy if mean else None,
        either_way=_either_way(mean.branches) if mean and mean.branches else None,
        purge_kg=plan.purge_kg,
        tiers=plan.tiers,
        sure=[
            TierSure(
                tier=name,
                p50=one.p50,
                by=one.by,
                share=one.share,
                p95=one.p95,
                chance=one.chance,
                regions=[
                    RegionSure(region=region, by=there.by, chance=there.chance, door=there.door)
                    for region, there in one.regions.items()
                ],
            )
            for name, one in known.items()
        ],
        replications=sure.replications if sure else 0,
        left_out=left_out(campaign) if known else [],
        costs=plan.costs,
        campaigns=plan.campaigns,
        cautions=plan.cautions,
        runs=[
            _run_sheet(run, str(called[run.id]), plan, campaign, f"{address}/press?run={run.id}") for run in plan.runs
        ],
        drying=plan.drying,
        drying_starts=[
            heats_from(load.load_at, load.dry_at, campaign.resins[load.resin].drying_hours) for load in plan.drying
        ],
        drying_hours={load.resin: campaign.resins[load.resin].drying_hours for load in plan.drying},
        finishing=[_bench_work(job) for job in sorted(plan.finishing, key=lambda job: (job.bench, job.start, job.id))],
        lots=plan.finishing_lots,
        carried=plan.carried,
        wishes=plan.wishes,
        assembly=sorted(plan.assembly, key=lambda job: (job.start, job.end, job.id)),
        packing=[_pack_line(batch) for batch in sorted(plan.batches, key=lambda b: (b.start, b.end, b.id))],
        pick_ups=[_pick_up(dispatch, batches) for dispatch in sorted(plan.dispatches, key=lambda d: d.at)],
        customs=plan.customs,
        buying=Buying(
            materials=sorted((m for m in plan.materials if m.order_by), key=lambda m: (m.order_by, m.kind, m.id)),
            pieces=sorted((p for p in plan.pieces if p.order_by), key=lambda p: (p.order_by, p.id)),
        ),
    )


def _run_sheet(run: Run, called: str, plan: RunPlan, campaign: Campaign, address: str) -> RunSheet:
    """called: as people call the run; address: of its page."""
    inspected = [one for one in plan.inspections if one.run == run.id]
    return RunSheet(
        run=run,
        called=called,
        settings=settings_of(run, campaign),
        melts=melts_of(run, campaign),
        dryer_loads=[load for load in plan.drying if run.id in load.runs],
        samples=list(samples_of(run, plan, campaign)),
        checks=[Check(**one.model_dump(include=set(Check.model_fields))) for one in inspected],
        severity=" and ".join(sorted({one.severity for one in inspected})) or "normal",
        sampled_by="the campaign" if plan.inspections else "common practice",
        cautions=list(cautions_of(run, plan, campaign)),
        address=address,
        there=wording.on_the_clock_there(run, campaign),
    )


def _bench_work(job: FinishingJob) -> BenchWork:
    return BenchWork(
        id=job.id,
        bench=job.bench,
        start=job.start,
        end=job.end,
        what="; ".join(dict.fromkeys([*_steps(job.parts), *(f"put {put.what} together" for put in job.puts)])),
        puts=job.puts,
        parts=job.parts,
        batch=job.assembly,
    )


def _pick_up(dispatch: Dispatch, batches: dict[str, PackBatch]) -> PickUpSheet:
    return PickUpSheet(
        id=dispatch.id,
        at=dispatch.at,
        carrier=dispatch.carrier,
        parcels=dispatch.parcels,
        consignments=_consignments([batches[b] for b in dispatch.batches]),
    )


def samples_of(run: Run, plan: RunPlan, campaign: Campaign) -> Iterator[Sample]:
    """What to look at of each part: as the plan says, or by common practice where the campaign asks for nothing."""
    asked = [one for one in plan.inspections if one.run == run.id]
    for one in asked:
        for rule in one.samples:
            yield _sample(one.part, one.colours, one.lot, rule.defect, rule.aql, rule)
    if asked:
        return
    tool = campaign.tools[run.tool]
    for part in run.parts:
        lot = run.shots * (tool.cavities[part.part] - tool.blocked_cavities.get(part.part, 0))
        for defect in DEFECTS:
            yield _sample(part.part, part.colours, lot, defect.id, defect.aql, check_for(lot, defect))


def _sample(
    part: str, colours: list[str], lot: int, defect: str, aql: float, rule: DefectSample | DefectCheck
) -> Sample:
    return Sample(
        part=part, colours=colours, defect=defect, aql=aql, letter=rule.letter, lot=lot,
        n=rule.n, accept=rule.accept, reject=rule.reject,
    )  # fmt: skip


def cautions_of(run: Run, plan: RunPlan, campaign: Campaign) -> Iterator[Caution]:
    """Those of the plan's cautions that the one who sets up and runs this must have before their eyes."""
    moulded = {melt.rpartition("/")[0] for melt in run.melts}
    handled = handled_in(run) & set(campaign.resins)
    natures = [nature(resin, campaign.resins[resin]) for resin in handled]
    fumes = {FUMES[key][0] for resin in handled for key in fumes_of(resin, campaign.resins[resin])}
    change = run.changeover
    unknown = {
        run.press if purge.where == "barrel" else run.tool
        for purge in (change.purges if change else [])
        if purge.from_ == UNKNOWN
    }
    for caution in plan.cautions:
        kind, _, what = caution.about.partition(" ")
        applies = {
            "POM": any(one.acetal or one.halogenated for one in natures),
            "purging": throws_melt(run),
            "tool": change is not None and change.mount_seconds > 0,
            "fumes": caution.about in fumes,
            "dried": what in moulded,
            "unknown": what in handled or what.removeprefix("melt ") in unknown,
            "dry": what in moulded,
            "dryer": what in moulded,
            "standing": what in handled,
            "heat": what.removeprefix("of ") in handled,
            "unattended": what in {campaign.resins[resin].dryer or resin for resin in moulded},
            "clamp": what == run.tool,
        }
        pair = caution.about.split(" and ")
        if caution.about == DWELL_ABOUT and not all(f"`{one}`" in caution.text for one in (run.press, run.tool)):
            continue
        if caution.about.startswith(COMPOUND_ABOUT):
            if cleans_with_compound(run):
                yield caution
        elif applies.get(kind, False) or (len(pair) == 2 and handled & set(pair)):
            yield caution


def _pack_line(batch: PackBatch) -> PackLine:
    box = batch.box
    return PackLine(
        **batch.model_dump(exclude={"lines", "person_minutes", "box", "pallets", "served"}),
        carton=box.carton if box else None,
        outside_mm=box.outside_mm if box else None,
        gross_kg=box.gross_kg if box else None,
        charged_kg=box.charged_kg if box else None,
        pallets=batch.pallets.pallets if batch.pallets else None,
    )


def _consignments(batches: list[PackBatch]) -> list[Consignment]:
    found: dict[tuple[str, str, int, int], Consignment] = {}
    for batch in sorted(batches, key=lambda b: (b.region, b.tier, b.parts, b.part, b.start, b.id)):
        line = found.setdefault(
            (batch.region, batch.tier, batch.part, batch.parts),
            Consignment(
                tier=batch.tier, region=batch.region, part=batch.part, parts=batch.parts, batches=[], parcels=0
            ),
        )
        line.batches.append(batch.id)
        line.parcels += batch.parcels
    return list(found.values())


def _either_way(told: Branches) -> EitherWay:
    first = told.branches[0]
    return EitherWay(
        about=told.about,
        known=told.known,
        now=sorted((run for run in first.runs if run.common), key=lambda run: (run.begin, run.press)),
        ways=[
            Way(
                words=branch.words,
                chance=branch.chance,
                mean=branch.mean,
                total=branch.total,
                recipes=branch.recipes,
                moves=branch.moves,
                tiers=branch.tiers,
                runs=[run for run in branch.runs if not run.common],
            )
            for branch in told.branches
        ],
    )
