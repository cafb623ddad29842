"""How busy the plan says presses, tools and benches are (A4): added up anew from its runs, jobs and batches."""

from collections import defaultdict

from planner.audit.a08_finishing import minutes as finishing_minutes
from planner.audit.a09_people import assembly_minutes
from planner.audit.case import Case
from planner.audit.figures import exact, same, whole_up
from planner.audit.findings import Findings
from planner.audit.opening import Shift
from planner.audit.sampling import bench_minutes
from planner.campaign.benches import Bench


def busy(case: Case, notes: Findings) -> None:
    """Every line of the list, and that each press at work has one."""
    why = case.plan.why
    if why is None:
        return
    ours = _hours(case)
    told = [(line.kind, line.name) for line in why.busy]
    notes.expect(len(set(told)) == len(told), "something stands twice in the list of what is busy")
    missing = {key for key, (worked, _) in ours.items() if worked} - set(told)
    notes.expect(not missing, f"the list of what is busy lacks {', '.join(name for _, name in sorted(missing))}")
    for line in why.busy:
        worked, there = ours.get((line.kind, line.name), (0, 0))
        notes.expect(
            same(line.busy_hours, worked / 3600, 1e-6)
            and same(line.open_hours, there / 3600, 1e-6)
            and same(line.share, worked / there if there else 0.0, 1e-6),
            f"{line.kind} `{line.name}` works {worked / 3600:.3f} of {there / 3600:.3f} hours, the plan says "
            f"{line.busy_hours:g} of {line.open_hours:g}, {line.share:g}",
        )


def _hours(case: Case) -> dict[tuple[str, str], tuple[int, int]]:
    """(kind, name) -> (seconds at work, seconds there)."""
    clock, campaign = case.clock, case.campaign
    last = max((work.end for work in case.works), default=case.start)
    worked: dict[tuple[str, str], int] = defaultdict(int)
    for work in case.works:
        spans = [(s.start, s.end) for s in work.run.stretches]
        if work.run.changeover:
            spans.append((work.run.changeover.start, work.run.changeover.end))
        seconds = sum(clock.second(end) - clock.second(start) for start, end in spans)
        worked["press", work.run.press] += seconds
        worked["tool", work.run.tool] += seconds
    found = {}
    for name in campaign.presses:
        shifts = [Shift(start, end, 1) for start, end in case.openings[name].stretches]
        found["press", name] = (worked["press", name], _there(case, shifts, last))
    for name, day in case.ready.items():
        ready = max(case.start, clock.at(day)) if day else case.start
        found["tool", name] = (worked["tool", name], max(0, last - ready))
    inspecting = bench_minutes(case)
    jobs = [
        (whole_up(assembly_minutes(case, job, inspecting)[0] * 60), clock.second(job.end))
        for job in case.plan.assembly
        if job.product in campaign.products
    ]
    batches = [
        (whole_up(exact(campaign.tiers[batch.tier].pack_minutes) * 60 * batch.parcels), clock.second(batch.end))
        for batch in case.plan.batches
        if batch.tier in campaign.tiers
    ]
    for kind, bench, steps in (("assembly", campaign.assembly, jobs), ("packing", campaign.packing, batches)):
        until = max((end for _, end in steps), default=case.start)
        worked_s = sum(seconds for seconds, _ in steps)
        found[kind, kind] = (worked_s, _at_bench(case, bench, worked_s, until))
    for name, own in campaign.finishing_benches.items():
        mine = [one for one in case.plan.finishing if one.bench == name]
        seconds = sum(whole_up(finishing_minutes(case, one) * 60) for one in mine)
        until = max((clock.second(one.end) for one in mine), default=case.start)
        found["finishing", name] = (seconds, _at_bench(case, own, seconds, until))
    return found


def _at_bench(case: Case, bench: Bench, worked_s: int, until: int) -> int:
    """People-seconds at a bench until a moment; one that never opens, where nothing takes time, is open always (B4)."""
    shifts = case.shifts_of(bench, bench.people)
    if not worked_s and not any(shift.people for shift in shifts):
        shifts = [Shift(case.start, until, 1)]
    return _there(case, shifts, until)


def _there(case: Case, shifts: list[Shift], until: int) -> int:
    """People-seconds between the campaign's start and a moment."""
    return sum(max(0, min(s.end, until) - max(s.start, case.start)) * s.people for s in shifts)
