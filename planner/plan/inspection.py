"""The inspection of each run's parts and the sharpness of its sampling plans, written from the runs."""

from collections import Counter
from collections.abc import Iterator, Sequence

from planner.campaign import Campaign
from planner.campaign.inspection import Inspection
from planner.cautions.texts import caution
from planner.demand.inspecting import inspected, severity_of
from planner.demand.items import open_cavities
from planner.plan.document import Caution, Run
from planner.plan.sampling import DefectSample, RunInspection, SamplingCurve
from planner.quality.inspection import DefectCheck
from planner.quality.operating import characteristic
from planner.quality.switching import standing

CURVE_STEPS = 20
SWITCHING = "MIL-STD-105E 4.7, switching procedures (figures from memory)"


def inspections(campaign: Campaign, runs: Sequence[Run]) -> list[RunInspection]:
    """One entry for each run and part that is inspected; the lot is every piece the run moulds of the part."""
    return [found for run in runs for found in _of_run(campaign, run)]


def curves(inspections: Sequence[RunInspection]) -> list[SamplingCurve]:
    """The operating characteristic of each sampling plan in use; a lot inspected piece by piece has none."""
    plans = {(s.n, s.accept) for found in inspections for s in found.samples if not s.every_piece}
    return [_curve(n, accept) for n, accept in sorted(plans)]


def unplanned(campaign: Campaign, inspections: Sequence[RunInspection]) -> list[Caution]:
    """A caution for each item of which inspection uses up more than is moulded for tests."""
    used: Counter[tuple[str, tuple[str, ...]]] = Counter()
    for found in inspections:
        used[found.part, tuple(found.colours)] += found.used_up
    return [
        caution(
            f"samples of {part}",
            f"Inspection uses up {number} of `{part}` in {' and '.join(colours)}; {campaign.parts[part].test_pieces} "
            f"are moulded for it. Raise `test_pieces` of the part to {number}, or parts will be short.",
            "this plan's inspections",
        )
        for (part, colours), number in sorted(used.items())
        if number > campaign.parts[part].test_pieces
    ]


def switched(campaign: Campaign) -> list[Caution]:
    """A caution for each part whose lots before call for tightened inspection, or for stopping it."""
    found = []
    for name, part in sorted(campaign.parts.items()):
        past = part.inspection.past_lots if part.inspection else []
        told = standing(verdict == "accepted" for verdict in past)
        if told.next != "normal":
            asks = "Inspection of `{}` is tightened: {}." if told.next == "tightened" else "`{}`: {}; then inspect on."
            found.append(caution(f"inspection of {name}", asks.format(name, told.why), SWITCHING))
    return found


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
