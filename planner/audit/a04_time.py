"""A4: a run's working time inside press hours equals shots x cycle / efficiency + restarts, to the second.

Production follows its changeover at once; what does not fit before closing goes on at the next opening, after a
restart. Every open stretch begins cold.
"""

from bisect import bisect_left
from collections.abc import Iterator
from datetime import datetime
from fractions import Fraction

from planner.audit.a04_utilisation import busy
from planner.audit.case import Case, Work, closing_of
from planner.audit.figures import exact, seconds_of, whole_up
from planner.audit.findings import Findings
from planner.audit.others import left_between
from planner.campaign.hours import spans
from planner.plan.document import RuleVerdict, Stretch


def check(case: Case) -> RuleVerdict:
    """A4 for every run, stretch by stretch."""
    notes = Findings("A4")
    if case.plan.time_zone != case.campaign.time_zone or case.clock.second(case.plan.start) != case.start:
        notes.fault("the plan's time zone or start is not the campaign's")
    for work in case.works:
        _moments_well_written(case, work, notes)
        if work.run.stretches:
            _stretches(case, work, notes)
            _working_time(case, work, notes)
    _trials(case, notes)
    busy(case, notes)
    return notes.verdict(case.moulding_due, "runs")


def _trials(case: Case, notes: Findings) -> None:
    """Nothing is worked on a press while a tool is tried in it."""
    for tool, said in case.campaign.uncertainty.tools.items() if case.campaign.uncertainty else ():
        trial = said.first_trial
        if trial is None or trial.on is None or trial.hours is None or trial.press is None:
            continue
        day = trial.on.date() if isinstance(trial.on, datetime) else trial.on
        for span in spans(trial.hours):
            begin, end = case.clock.minute_of_day(day, span.start), case.clock.minute_of_day(day, span.end)
            for work in case.by_press.get(trial.press, []):
                times = [(case.clock.second(s.start), case.clock.second(s.end)) for s in work.run.stretches]
                if work.run.changeover:
                    times.append((work.begin, case.clock.second(work.run.changeover.end)))
                notes.expect(
                    all(b <= begin or a >= end for a, b in times),
                    f"{work}: worked while `{tool}` is tried on the press, {case.clock.say(begin)} to "
                    f"{case.clock.say(end)}",
                )


def is_first_work(case: Case, press: str, opening: tuple[int, int], second: int) -> bool:
    """Whether nothing was worked on the press in that open stretch before that second."""
    begins = case.once(("begins", press), lambda: sorted(_begins(case, press)))
    return bisect_left(begins, opening[0]) >= bisect_left(begins, second)


def _begins(case: Case, press: str) -> Iterator[int]:
    """When work on a press begins, or goes on."""
    for work in case.by_press.get(press, []):
        if work.run.changeover:
            yield case.clock.second(work.run.changeover.start)
        for stretch in work.run.stretches:
            yield case.clock.second(stretch.start)


def restart_of(work: Work) -> int:
    """Seconds of a restart: warm-up and start-up shots."""
    return seconds_of(work.press.restart_minutes) + whole_up(work.tool.startup_shots * work.shot)


def _stretches(case: Case, work: Work, notes: Findings) -> None:
    press, clock, run = work.run.press, case.clock, work.run
    openings, restart = case.openings[press], restart_of(work)
    starts_fresh = True  # production may begin anywhere
    cleared = False  # whether the stretch before ended because its melt must not stand
    at = 0
    if run.changeover:
        begin, end = clock.second(run.changeover.start), clock.second(run.changeover.end)
        opening = openings.around(begin)
        if not notes.expect(
            opening is not None and end <= opening[1],
            f"{work}: its changeover {clock.say(begin)} to {clock.say(end)} is not inside one open stretch",
        ):
            return
        at, starts_fresh = end, False
    for stretch in run.stretches:
        start, end = clock.second(stretch.start), clock.second(stretch.end)
        opening = openings.around(start)
        if opening is None or end > opening[1] or end <= start:
            notes.fault(f"{work}: works {clock.say(start)} to {clock.say(end)}, outside press hours")
            return
        if not starts_fresh:
            here = openings.around(at)
            closes = closing_of(stretch)
            if here is None or cleared or _left_by_people(case, work, at):  # on at the next opening long enough
                again = sum(purge.seconds for purge in stretch.purges)
                due = _goes_on(case, work, at, restart + again, closes)
            else:
                due = at
            notes.expect(
                start == due,
                f"{work}: goes on {clock.say(start)}, should go on "
                + (clock.say(due) if due is not None else "never: no opening is left"),
            )
        cold = is_first_work(case, press, opening, start)
        taken = restart + sum(purge.seconds for purge in stretch.purges) if cold else 0
        notes.expect(
            stretch.restart_seconds == taken and stretch.restart_shots == (work.tool.startup_shots if cold else 0),
            f"{work}: the press is {'cold' if cold else 'hot'} at {clock.say(start)} and takes "
            f"{taken} s and {work.tool.startup_shots if cold else 0} start-up shots, "
            f"the plan gives {stretch.restart_seconds} s and {stretch.restart_shots}",
        )
        notes.expect(
            end - start > stretch.restart_seconds + closing_of(stretch),
            f"{work}: the stretch at {clock.say(start)} leaves no time for production after the restart",
        )
        if stretch is not run.stretches[-1]:
            until = _open_until(case, work, opening, stretch)
            notes.expect(
                end == until,
                f"{work}: pauses {clock.say(end)} though the press is open until {clock.say(until)}",
            )
        if not starts_fresh or stretch is not run.stretches[0]:
            others = left_between(case.theirs[press], at, start, 1)
            notes.expect(
                others is None,
                f"{work}: goes on {clock.say(start)}, though others worked on the press since {clock.say(at)}: that is "
                "another run, mounted anew",
            )
        at, starts_fresh, cleared = end, False, stretch.closing is not None


def _left_by_people(case: Case, work: Work, second: int) -> bool:
    """Whether those who would stay with a run have left by then, though its press may still be open."""
    there = (one.start <= second < one.hands for one in case.manned[work.run.press])
    return work.tool.operators > 0 and not any(there)


def _goes_on(case: Case, work: Work, at: int, restart: int, closing: int) -> int | None:
    """The first opening in which a restart fits while somebody is there, and a second of production and the closing."""
    for one in case.manned[work.run.press]:
        until = one.hands if closing or work.tool.operators else one.end
        if one.start >= at and one.start + restart <= one.hands and one.start + restart + closing < until:
            return one.start
    return None


def _open_until(case: Case, work: Work, opening: tuple[int, int], stretch: Stretch) -> int:
    """When production must pause in an opening: as it closes, or as the people leave where some of them stay with it or
    its melt must be cleared."""
    if stretch.closing is None and not work.tool.operators:
        return opening[1]
    return next(one.hands for one in case.manned[work.run.press] if one.start == opening[0])


def _working_time(case: Case, work: Work, notes: Findings) -> None:
    clock, run = case.clock, work.run
    first = clock.second(run.stretches[0].start) + run.stretches[0].restart_seconds
    last = clock.second(run.stretches[-1].end)
    notes.expect(
        clock.second(run.start) == first and work.end == last,
        f"{work}: starts {clock.say(first)} and ends {clock.say(last)} by its stretches, the plan says "
        f"{clock.say(clock.second(run.start))} to {clock.say(work.end)}",
    )
    notes.expect(
        abs(exact(run.shot_seconds) - work.shot) <= Fraction(1, 1000),
        f"{work}: a shot takes {float(work.shot):.3f} s (cycle / efficiency), the plan says {run.shot_seconds:g} s",
    )
    worked = done = 0
    for stretch in run.stretches:
        worked += clock.second(stretch.end) - clock.second(stretch.start) - stretch.restart_seconds
        worked -= closing_of(stretch)
        upto = min(run.shots, int(worked / work.shot))
        notes.expect(
            stretch.shots == upto - done,
            f"{work}: completes {upto - done} shots in the stretch at {clock.say(clock.second(stretch.start))}, "
            f"the plan says {stretch.shots}",
        )
        done = upto
    asked = whole_up(run.shots * work.shot)
    notes.expect(
        run.shots > 0 and worked == asked,
        f"{work}: {run.shots} shots take {asked} s of production, the plan works {worked} s",
    )


def _moments_well_written(case: Case, work: Work, notes: Findings) -> None:
    run = work.run
    moments = [run.start, run.end] + [m for s in run.stretches for m in (s.start, s.end)]
    moments += [run.changeover.start, run.changeover.end] if run.changeover else []
    notes.expect(
        all(case.clock.well_written(moment) for moment in moments),
        f"{work}: a moment is not a whole second with the offset of {case.campaign.time_zone}",
    )
