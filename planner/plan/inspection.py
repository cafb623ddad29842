"""The inspection of each run's parts and the sharpness of its sampling plans, written from the runs."""

from collections.abc import Iterator, Sequence

from planner.campaign import Campaign
from planner.campaign.inspection import Inspection
from planner.demand.inspecting import inspected, severity_of
from planner.demand.items import open_cavities
from planner.plan.document import Run
from planner.plan.sampling import DefectSample, RunInspection, SamplingCurve
from planner.quality.inspection import DefectCheck
from planner.quality.operating import characteristic

CURVE_STEPS = 20


def inspections(campaign: Campaign, runs: Sequence[Run]) -> list[RunInspection]:
    """One entry for each run and part that is inspected; the lot is every piece the run moulds of the part."""
    return [found for run in runs for found in _of_run(campaign, run)]


def curves(inspections: Sequence[RunInspection]) -> list[SamplingCurve]:
    """The operating characteristic of each sampling plan in use; a lot inspected piece by piece has none."""
    plans = {(s.n, s.accept) for found in inspections for s in found.samples if not s.every_piece}
    return [_curve(n, accept) for n, accept in sorted(plans)]


def _of_run(campaign: Campaign, run: Run) -> Iterator[RunInspection]:
    for made in run.parts:
        asked = campaign.parts[made.part].inspection
        lot = run.shots * open_cavities(campaign, run.tool, made.part)
        if asked is None or lot == 0:
            continue
        found = inspected(asked, lot)
        yield RunInspection(
            run=run.id,
            part=made.part,
            colours=made.colours,
            lot=lot,
            severity=severity_of(asked),
            samples=[_sample(asked, check) for check in found.checks],
            sample=found.sample,
            first_off=found.first_off,
            last_off=found.last_off,
            used_up=found.used_up,
            minutes=found.minutes,
        )


def _sample(asked: Inspection, check: DefectCheck) -> DefectSample:
    limit = asked.defects[check.defect]
    return DefectSample(
        defect=check.defect,
        level=limit.level,
        aql=limit.aql,
        letter=check.letter,
        n=check.n,
        accept=check.accept,
        reject=check.reject,
        every_piece=check.every_piece,
        why=check.why,
    )


def _curve(n: int, accept: int) -> SamplingCurve:
    found = characteristic(n, accept, CURVE_STEPS)
    return SamplingCurve(
        n=n,
        accept=accept,
        producer=found.producer,
        indifferent=found.indifferent,
        consumer=found.consumer,
        points=list(found.points),
    )
