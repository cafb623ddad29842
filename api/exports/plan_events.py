"""A run plan's calendar: dryers, changeovers and runs at the presses, bench work, days to order by, pick-ups."""

from collections import Counter
from collections.abc import Iterator
from datetime import timedelta
from zoneinfo import ZoneInfo

from api.exports.calendar import PlannedEvent
from api.wording import bench_work, closing_said, others_left, others_take_over, purge_way, who_stays
from planner.plan.document import DryerLoad, RunPlan
from planner.plan.run_names import RunNames
from planner.wording import moment

_DAY_BEFORE = timedelta(days=1)
_BEFORE_LOADING = timedelta(minutes=15)


def plan_events(plan: RunPlan) -> Iterator[PlannedEvent]:
    """Events in the campaign's zone; a run has one for each stretch it is worked in, so that nights stay free."""
    zone, called = ZoneInfo(plan.time_zone), RunNames(plan.runs)
    for run in plan.runs:
        melts = ", ".join(run.melts)
        if (change := run.changeover) is not None:
            purges = "".join(
                f"\npurge {p.where} {p.barrel}: {p.from_} to {p.to}, {p.kg:.1f} kg{purge_way(p)}" for p in change.purges
            )
            left = f"\n{others_left(change.after_others)}" if change.after_others else ""
            yield PlannedEvent(
                f"{run.id}-changeover",
                "press",
                f"Changeover on {run.press}: {run.tool}, {melts}",
                change.start.astimezone(zone),
                change.end.astimezone(zone),
                run.press,
                f"setter {change.setter}{left}{purges}\n{change.startup_shots} start-up shots",
            )
        for number, stretch in enumerate(run.stretches, start=1):
            of = f" ({number} of {len(run.stretches)})" if len(run.stretches) > 1 else ""
            yield PlannedEvent(
                f"{run.id}-{number}",
                "press",
                f"{run.tool}, {melts}: {stretch.shots} shots{of}",
                stretch.start.astimezone(zone),
                stretch.end.astimezone(zone),
                run.press,
                f"{called[run.id]}: {run.shots} shots in all"
                + (f"\n{who_stays(run)}" if run.operators else "")
                + (f"\nat its end: {closing_said(stretch.closing)}" if stretch.closing else "")
                + (f"\nthen: {others_take_over(run)}" if run.others_from and stretch is run.stretches[-1] else ""),
            )
    yield from _to_dry(plan, zone, called)
    for one in plan.finishing:
        what = bench_work(one)
        yield PlannedEvent(
            one.id, "bench", what, one.start.astimezone(zone), one.end.astimezone(zone), one.bench,
            f"for {one.assembly}",
        )  # fmt: skip
    for lot in plan.finishing_lots:
        for n, visit in enumerate(lot.visits, start=1):
            yield PlannedEvent(
                f"{lot.id}-{n}",
                "bench",
                f"{visit.parts} {lot.part} {'/'.join(lot.colours)} away at {visit.firm}: {', '.join(visit.what)}",
                visit.leaves.astimezone(zone),
                visit.back.astimezone(zone),
                visit.firm,
                f"{lot.id}, {lot.good} of them good in the end",
            )
    for job in plan.assembly:
        yield PlannedEvent(
            job.id,
            "bench",
            f"Assemble {job.units} {job.product} {job.colourway}",
            job.start.astimezone(zone),
            job.end.astimezone(zone),
            "assembly bench",
            f"for batch {job.batch}",
        )
    for batch in plan.batches:
        yield PlannedEvent(
            batch.id,
            "bench",
            f"Pack {batch.parcels} x {batch.tier} for {batch.region}",
            batch.start.astimezone(zone),
            batch.end.astimezone(zone),
            "pack bench",
            f"goes out with {batch.dispatch}",
        )
    yield from _outside(plan, zone)


def key_events(plan: RunPlan) -> Iterator[PlannedEvent]:
    """What a maker wants beside their own dates: days to order by, steps on tools, pick-ups, and on each press the day
    moulding begins and the day it ends. Their ids are those they have in the whole calendar."""
    zone = ZoneInfo(plan.time_zone)
    for press in dict.fromkeys(run.press for run in plan.runs):
        runs = [run for run in plan.runs if run.press == press]
        begin = min((run.changeover or run).start for run in runs).astimezone(zone).date()
        end = max(run.end for run in runs).astimezone(zone).date()
        yield PlannedEvent(f"press-{press}-begins", "press", f"Moulding begins on {press}", begin, where=press)
        yield PlannedEvent(f"press-{press}-ends", "press", f"Moulding ends on {press}", end, where=press)
    yield from _outside(plan, zone)


def _outside(plan: RunPlan, zone: ZoneInfo) -> Iterator[PlannedEvent]:
    """Where others are waited for: toolmakers, suppliers, the carrier."""
    yield from _on_tools(plan, zone)
    yield from _to_order(plan)
    for dispatch in plan.dispatches:
        yield PlannedEvent(
            dispatch.id,
            "pick-up",
            f"Pick-up: {dispatch.parcels} parcels",
            dispatch.at.astimezone(zone),
            notes="batches " + ", ".join(dispatch.batches),
        )


def _to_dry(plan: RunPlan, zone: ZoneInfo, called: RunNames) -> Iterator[PlannedEvent]:
    """One event a load, from filling to dry; a quarter of an hour before, a reminder to fill it."""
    numbers: Counter[str] = Counter()
    for load in plan.drying:
        numbers[load.dryer] += 1
        heat = f" at {load.degrees_c:g} °C" if load.degrees_c is not None else ""
        yield PlannedEvent(
            f"dryer-{load.dryer}-{numbers[load.dryer]}",
            "dryer",
            f"Load dryer {load.dryer}: {load.kg if load.fill_kg is None else load.fill_kg:.1f} kg {load.resin}{heat}",
            load.load_at.astimezone(zone),
            load.dry_at.astimezone(zone),
            f"dryer {load.dryer}",
            f"for {called.all_of(load.runs)}; {load.kg:.1f} kg in all, drawn until "
            f"{moment(load.used_until.astimezone(zone))}{_cleaning(load, zone)}",
            remind=_BEFORE_LOADING,
        )


def _cleaning(load: DryerLoad, zone: ZoneInfo) -> str:
    if load.cleaned_from is None:
        return ""
    return f"; empty and clean it before, from {moment(load.cleaned_from.astimezone(zone))}"


def _on_tools(plan: RunPlan, zone: ZoneInfo) -> Iterator[PlannedEvent]:
    """One event a step still to do, on the day it begins; a day before, a reminder."""
    for step in plan.tool_steps:
        if not step.done:
            who = f"{step.by}, " if step.by else ""
            notes = f"{who}to be done by {moment(step.end.astimezone(zone))}"
            yield PlannedEvent(
                f"step-{step.tool}-{step.step}",
                "tool",
                f"Begins: {step.what}",
                step.begin.astimezone(zone).date(),
                notes=notes,
                remind=_DAY_BEFORE,
            )


def _to_order(plan: RunPlan) -> Iterator[PlannedEvent]:
    for material in plan.materials:
        if material.order_by is not None:
            title = f"Order {material.bought_kg:g} kg of {material.kind} {material.id}"
            yield PlannedEvent(
                f"order-{material.kind}-{material.id}", "order by", title, material.order_by, remind=_DAY_BEFORE
            )
    for piece in plan.pieces:
        if piece.order_by is not None:
            title = f"Order {piece.bought} of {piece.id}"
            yield PlannedEvent(f"order-piece-{piece.id}", "order by", title, piece.order_by, remind=_DAY_BEFORE)
