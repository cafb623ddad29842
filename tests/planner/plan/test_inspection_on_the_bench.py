"""The inspector's minutes take the assembly bench's time and money; the auditor works them out from printed tables."""

from math import ceil
from typing import Any

import pytest

from planner.audit import audit
from planner.audit.sampling import sample_of, severity_of
from planner.campaign import Campaign
from planner.campaign.inspection import DefectLimit
from planner.control import Unhurried
from planner.plan import RunPlan
from planner.planning.make import make_plan
from planner.quality.inspection import DefectKind, check_for
from planner.quality.schemes import AQLS, LEVELS
from tests.support.carton_campaign import campaign

Made = tuple[Campaign, RunPlan]


def made_with(**changes: Any) -> Made:
    """The bowls, half a minute of assembly each at 12 an hour, and their plan."""
    bowls = campaign(products__bowl__assembly_minutes=0.5, assembly={"rate_per_hour": 12}, **changes)
    return bowls, make_plan(bowls, Unhurried())


@pytest.fixture(scope="module")
def made() -> Made:
    """Inspected at the assembly bench, as where nothing else is said."""
    return made_with()


def labour(plan: RunPlan) -> float:
    """Money for the assembly bench."""
    return next(line.amount for line in plan.costs if line.what == "assembly labour")


def test_minutes_are_shared_out_over_the_parts(made: Made) -> None:
    """All jobs together hold the minutes of all inspections, each colour's by the parts of it."""
    _, plan = made
    assert plan.audit is not None
    assert plan.audit.holds
    minutes = {tuple(found.colours): found.minutes for found in plan.inspections}
    ordered = {tuple(line.colours): line.ordered for line in plan.balance}
    assert set(minutes) == {("cream",), ("slate",)}
    for job in plan.assembly:
        share = job.units * minutes[job.colourway,] / ordered[job.colourway,]
        assert job.inspection_minutes == pytest.approx(share)
        assert job.person_minutes == pytest.approx(0.5 * job.units + share)
    assert sum(job.inspection_minutes for job in plan.assembly) == pytest.approx(sum(minutes.values()))


def test_an_inspector_elsewhere_leaves_the_bench_free(made: Made) -> None:
    """The bench's time and money are less by the inspection; what is drawn stays the same."""
    inspection = made[0].parts["bowl"].inspection
    assert inspection is not None
    apart = made_with(parts__bowl__inspection=inspection.model_dump() | {"at": "elsewhere"})[1]
    assert [found.model_dump() for found in apart.inspections] == [found.model_dump() for found in made[1].inspections]
    assert all(job.inspection_minutes == 0 for job in apart.assembly)
    minutes = sum(found.minutes for found in apart.inspections)
    assert labour(made[1]) - labour(apart) == pytest.approx(minutes / 60 * 12, abs=len(apart.assembly) * 12 / 3600)
    assert sum(j.units for j in apart.assembly) == 173
    assert labour(apart) == pytest.approx(sum(ceil(30 * j.units) for j in apart.assembly) / 3600 * 12)


def test_long_inspections_hold_parcels_back(made: Made) -> None:
    """Five hours a piece: what is inspected leaves later."""
    slow = made_with(parts__bowl__inspection__minutes=300)[1]
    assert max(t.last_dispatch for t in slow.tiers) > max(t.last_dispatch for t in made[1].tiers)


def test_lots_apart_take_more_minutes() -> None:
    """A tool whose demand may be cut into lots: the minutes of the lots apart are booked, first-off checks and all."""
    cut = made_with(tools__bowl__smallest_lot_shots=20)[1]
    whole = made_with()[1]
    assert sum(j.inspection_minutes for j in cut.assembly) > sum(j.inspection_minutes for j in whole.assembly)


@pytest.mark.parametrize("spoil", ["fewer drawn", "laxer", "other minutes", "not inspected", "smaller lot"])
def test_auditor_sees_a_wrong_inspection(made: Made, spoil: str) -> None:
    """A9 does not hold where lots, samples, verdicts or minutes are not the tables'."""
    bowls, plan = made
    found = plan.inspections[0]
    sample = found.samples[0]
    other = {
        "fewer drawn": found.model_copy(update={"sample": found.sample - 1}),
        "laxer": found.model_copy(
            update={"samples": [sample.model_copy(update={"accept": sample.accept + 1, "reject": sample.reject + 1})]}
        ),
        "other minutes": found.model_copy(update={"minutes": found.minutes + 1}),
        "not inspected": None,
        "smaller lot": found.model_copy(update={"lot": found.lot - 1}),
    }[spoil]
    spoilt = [one for one in [other, *plan.inspections[1:]] if one is not None]
    verdict = audit(bowls, plan.model_copy(update={"inspections": spoilt}))
    assert "A9" in {rule.rule for rule in verdict.rules if not rule.holds}


def test_printed_tables_and_rebuilt_ones_agree() -> None:
    """The auditor's tables against the planner's rule, at every level and AQL, for lots around each row's ends."""
    ends = (8, 15, 25, 50, 90, 150, 280, 500, 1200, 3200, 10_000, 35_000, 150_000, 500_000)
    for lot in sorted({1, 2, 3, 5, 700_000, *ends, *(end + 1 for end in ends)}):
        for level in LEVELS:
            for aql in AQLS:
                limit = DefectLimit.model_validate({"aql": aql, "level": level})
                for severity in ("normal", "tightened"):
                    ours = check_for(lot, DefectKind("looks", aql, level), severity)
                    assert sample_of(lot, limit, severity) == (ours.n, ours.accept)


A, R = "accepted", "rejected"


@pytest.mark.parametrize(
    ("past", "severity", "words"),
    [
        ([A, R, A, A, A, A, R], "normal", ""),
        ([A, R, A, A, R], "tightened", "two lots of five"),
        ([R, R, A, A, A, A, A], "normal", ""),
        ([R, R, *[R, A] * 4], "tightened", "two lots of five"),
        ([R, R, *[R, A] * 5], "tightened", "mend the process first"),
    ],
)
def test_lots_before_switch_the_inspection(past: list[str], severity: str, words: str) -> None:
    """MIL-STD-105E 4.7, from memory: AQL 1.0, lots of 91 to 150: letter F, n 13 (normal), n 20 (tightened), Ac 0."""
    bowls, plan = made_with(parts__bowl__inspection__past_lots=past)
    drawn = {"normal": 13, "tightened": 20}[severity]
    assert any(91 <= found.lot <= 150 for found in plan.inspections)
    for found in plan.inspections:
        assert found.severity == severity
        assert severity_of(bowls.parts["bowl"].inspection) == severity  # type: ignore[arg-type]
        if 91 <= found.lot <= 150:
            assert (found.samples[0].n, found.samples[0].accept) == (drawn, 0)
    assert plan.audit is not None
    assert plan.audit.holds
    told = [caution.text for caution in plan.cautions if caution.about == "inspection of bowl"]
    assert bool(told) == bool(words)
    assert all(words in text for text in told)
