"""A run plan's calendar: dryers, changeovers and runs at the presses, bench work, days to order by, pick-ups."""

from collections import Counter
from collections.abc import Iterator
from datetime import timedelta
from zoneinfo import ZoneInfo

from api.exports.calendar import PlannedEvent
from api.languages import gettext
from api.languages.run_words import named_run, named_runs
from api.languages.sentences import said
from api.languages.wording import (
    bench_work,
    closing_said,
    counted,
    kilograms,
    moment,
    number,
    others_left,
    others_take_over,
    place,
    purge_way,
    region,
    who_stays,
    work_name,
    work_numbers,
)
from planner.plan.document import DryerLoad, Purge, RunPlan
from planner.plan.finished import LotVisit
from planner.plan.run_names import RunNames

_DAY_BEFORE = timedelta(days=1)
_BEFORE_LOADING = timedelta(minutes=15)


def plan_events(plan: RunPlan) -> Iterator[PlannedEvent]:
    """Events in the campaign's zone; a run has one for each stretch it is worked in, so that nights stay free."""
    zone, called = ZoneInfo(plan.time_zone), RunNames(plan.runs)
    yield from _at_presses(plan, zone, called)
    yield from _to_dry(plan, zone, called)
    yield from _on_benches(plan, zone)
    yield from _outside(plan, zone)


def _at_presses(plan: RunPlan, zone: ZoneInfo, called: RunNames) -> Iterator[PlannedEvent]:
    """Changeovers, and what is moulded."""
    for run in plan.runs:
        melts = ", ".join(run.melts)
        if (change := run.changeover) is not None:
            notes = [gettext("setter %(n)s") % {"n": change.setter}]
            notes += [others_left(change.after_others)] if change.after_others else []
            notes += [_purge(purge) for purge in change.purges]
            notes.append(counted(change.startup_shots, "start-up shot"))
            yield PlannedEvent(
                f"{run.id}-changeover",
                "press",
                gettext("Changeover on %(press)s: %(tool)s, %(melts)s")
                % {"press": run.press, "tool": run.tool, "melts": melts},
                change.start.astimezone(zone),
                change.end.astimezone(zone),
                run.press,
                "\n".join(notes),
            )
        for part, stretch in enumerate(run.stretches, start=1):
            of = {"n": part, "all": len(run.stretches)}
            shots = counted(stretch.shots, "shot")
            shots += f" ({gettext('%(n)s of %(all)s') % of})" if len(run.stretches) > 1 else ""
            notes = [
                gettext("%(run)s: %(shots)s in all")
                % {"run": named_run(called[run.id]), "shots": counted(run.shots, "shot")}
            ]
            notes += [who_stays(run)] if run.operators else []
            if stretch.closing:
                notes.append(gettext("at its end: %(what)s") % {"what": closing_said(stretch.closing)})
            if run.others_from and stretch is run.stretches[-1]:
                notes.append(gettext("then: %(what)s") % {"what": others_take_over(run)})
            yield PlannedEvent(
                f"{run.id}-{part}",
                "press",
                f"{run.tool}, {melts}: {shots}",
                stretch.start.astimezone(zone),
                stretch.end.astimezone(zone),
                run.press,
                "\n".join(notes),
            )


def _on_benches(plan: RunPlan, zone: ZoneInfo) -> Iterator[PlannedEvent]:
    """What is done to parts, here and elsewhere, assembly and packing."""
    for one in plan.finishing:
        what = bench_work(one)
        yield PlannedEvent(
            one.id, "bench", what, one.start.astimezone(zone), one.end.astimezone(zone), one.bench,
            gettext("for %(what)s") % {"what": one.assembly},
        )  # fmt: skip
    for lot in plan.finishing_lots:
        for n, visit in enumerate(lot.visits, start=1):
            parts = f"{number(visit.parts)} {lot.part} {'/'.join(lot.colours)}"
            good = gettext("%(lot)s, %(n)s of them good in the end") % {"lot": work_name(lot.id), "n": number(lot.good)}
            yield _away(f"{lot.id}-{n}", parts, visit, zone, good)
    for carried in plan.carried:
        for n, visit in enumerate(carried.visits, start=1):
            for_whom = gettext("for %(what)s") % {"what": carried.to}
            yield _away(f"{carried.of}-{carried.to}-{n}", carried.of, visit, zone, for_whom)
    for job in plan.assembly:
        yield PlannedEvent(
            job.id,
            "bench",
            gettext("Assemble %(n)s %(what)s") % {"n": number(job.units), "what": f"{job.product} {job.colourway}"},
            job.start.astimezone(zone),
            job.end.astimezone(zone),
            gettext("assembly bench"),
            gettext("for batch %(batch)s") % {"batch": work_numbers([job.batch])},
        )
    for batch in plan.batches:
        yield PlannedEvent(
            batch.id,
            "bench",
            gettext("Pack %(n)s x %(tier)s for %(region)s")
            % {"n": number(batch.parcels), "tier": batch.tier, "region": region(batch.region)},
            batch.start.astimezone(zone),
            batch.end.astimezone(zone),
            gettext("packing bench"),
            gettext("goes out with %(dispatch)s") % {"dispatch": batch.dispatch},
        )


def _away(name: str, parts: str, visit: LotVisit, zone: ZoneInfo, notes: str) -> PlannedEvent:
    """Parts or units on their way to somebody elsewhere, worked on there and on their way back."""
    what = {"parts": parts, "place": visit.firm, "what": ", ".join(map(said, visit.what))}
    return PlannedEvent(
        name,
        "bench",
        gettext("%(parts)s away at %(place)s: %(what)s") % what,
        visit.leaves.astimezone(zone),
        visit.back.astimezone(zone),
        visit.firm,
        notes,
    )


def key_events(plan: RunPlan) -> Iterator[PlannedEvent]:
    """What a maker wants beside their own dates: days to order by, steps on tools, pick-ups, and on each press the day
    moulding begins and the day it ends. Their ids are those they have in the whole calendar."""
    zone = ZoneInfo(plan.time_zone)
    for press in dict.fromkeys(run.press for run in plan.runs):
        runs = [run for run in plan.runs if run.press == press]
        begin = min((run.changeover or run).start for run in runs).astimezone(zone).date()
        end = max(run.end for run in runs).astimezone(zone).date()
        begins, ends = (
            text % {"press": press}
            for text in (gettext("Moulding begins on %(press)s"), gettext("Moulding ends on %(press)s"))
        )
        yield PlannedEvent(f"press-{press}-begins", "press", begins, begin, where=press)
        yield PlannedEvent(f"press-{press}-ends", "press", ends, end, where=press)
    yield from _outside(plan, zone)


def _outside(plan: RunPlan, zone: ZoneInfo) -> Iterator[PlannedEvent]:
    """Where others are waited for: toolmakers, suppliers, the carrier."""
    yield from _on_tools(plan, zone)
    yield from _to_order(plan)
    for dispatch in plan.dispatches:
        yield PlannedEvent(
            dispatch.id,
            "pick-up",
            gettext("Pick-up: %(parcels)s") % {"parcels": counted(dispatch.parcels, "parcel")},
            dispatch.at.astimezone(zone),
            notes=gettext("batches %(batches)s") % {"batches": ", ".join(dispatch.batches)},
        )


def _to_dry(plan: RunPlan, zone: ZoneInfo, called: RunNames) -> Iterator[PlannedEvent]:
    """One event a load, from filling to dry; a quarter of an hour before, a reminder to fill it."""
    numbers: Counter[str] = Counter()
    for load in plan.drying:
        numbers[load.dryer] += 1
        cold = gettext("Load dryer %(dryer)s: %(kg)s %(resin)s")
        at_heat = gettext("Load dryer %(dryer)s: %(kg)s %(resin)s at %(degrees)s °C")
        yield PlannedEvent(
            f"dryer-{load.dryer}-{numbers[load.dryer]}",
            "dryer",
            (at_heat if load.degrees_c is not None else cold)
            % {
                "dryer": load.dryer,
                "kg": kilograms(load.kg if load.fill_kg is None else load.fill_kg),
                "resin": load.resin,
                "degrees": f"{load.degrees_c or 0:g}",
            },
            load.load_at.astimezone(zone),
            load.dry_at.astimezone(zone),
            gettext("dryer %(dryer)s") % {"dryer": load.dryer},
            gettext("for %(runs)s; %(kg)s in all, drawn until %(when)s")
            % {
                "runs": named_runs(called, load.runs),
                "kg": kilograms(load.kg),
                "when": moment(load.used_until.astimezone(zone)),
            }
            + _cleaning(load, zone),
            remind=_BEFORE_LOADING,
        )


def _cleaning(load: DryerLoad, zone: ZoneInfo) -> str:
    if load.cleaned_from is None:
        return ""
    clean = gettext("empty and clean it before, from %(when)s")
    return f"; {clean % {'when': moment(load.cleaned_from.astimezone(zone))}}"


def _purge(purge: Purge) -> str:
    said_purge = gettext("purge %(place)s: %(old)s to %(new)s, %(kg)s") % {
        "place": place(purge.where, purge.barrel),
        "old": purge.from_,
        "new": purge.to,
        "kg": kilograms(purge.kg),
    }
    return said_purge + purge_way(purge)


def _on_tools(plan: RunPlan, zone: ZoneInfo) -> Iterator[PlannedEvent]:
    """One event a step still to do, on the day it begins; a day before, a reminder."""
    for step in plan.tool_steps:
        if not step.done:
            who = f"{step.by}, " if step.by else ""
            notes = who + gettext("to be done by %(when)s") % {"when": moment(step.end.astimezone(zone))}
            yield PlannedEvent(
                f"step-{step.tool}-{step.step}",
                "tool",
                gettext("Begins: %(what)s") % {"what": said(step.what)},
                step.begin.astimezone(zone).date(),
                notes=notes,
                remind=_DAY_BEFORE,
            )


def _to_order(plan: RunPlan) -> Iterator[PlannedEvent]:
    for material in plan.materials:
        if material.order_by is not None:
            title = gettext("Order %(kg)s of %(kind)s %(name)s") % {
                "kg": kilograms(material.bought_kg),
                "kind": said(material.kind),
                "name": material.id,
            }
            yield PlannedEvent(
                f"order-{material.kind}-{material.id}", "order by", title, material.order_by, remind=_DAY_BEFORE
            )
    for piece in plan.pieces:
        if piece.order_by is not None:
            title = gettext("Order %(n)s of %(name)s") % {"n": number(piece.bought), "name": piece.id}
            yield PlannedEvent(f"order-piece-{piece.id}", "order by", title, piece.order_by, remind=_DAY_BEFORE)
