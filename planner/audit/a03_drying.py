"""A3, drying: every kilogram of a resin that must be dried comes out of a load of its dryer that is dry by then.

Loads are held against what the runs draw: in all, at every moment, and in as long as drying takes, for a dryer that is
topped up gives up dry only what has been in it that long. One resin at a time, cleaned in between, and nothing stays in
a dryer longer than it may.
"""

from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise

from planner.audit.a03_draws import Drawn
from planner.audit.arrivals import drying_seconds
from planner.audit.case import Case, Work
from planner.audit.figures import KG, same, seconds_of
from planner.audit.findings import Findings
from planner.audit.resin_heat import family_word
from planner.plan.document import DryerLoad

A_DAY = ("abs", "asa", "san", "pc", "pcabs", "pcasa", "pmma")
"""Families that may stay in a closed dryer for a day; others half of one (common practice, from memory)."""


def drying(case: Case, notes: Findings) -> None:
    """Every load of every dryer, and what the runs draw of each resin that is dried."""
    drawn = {name: Drawn(case, name) for name, resin in case.campaign.resins.items() if resin.drying_hours > 0}
    for trouble in (
        *_loads(case),
        *_one_resin_at_a_time(case),
        *_drawn(case, drawn),
        *_fillings(case, drawn),
        *_outrun(case, drawn),
    ):
        notes.fault(trouble)


def dryers_of(case: Case, work: Work) -> set[str]:
    """The dryers that a run draws from."""
    resins = {resin: case.campaign.resins[resin] for resin, _ in work.melts}
    return {entry.dryer or resin for resin, entry in resins.items() if entry.drying_hours > 0}


def ready_moments(case: Case, work: Work) -> Iterator[int]:
    """Seconds at which a run may have waited for its dryer: another run that draws from it ended, or what was filled in
    after that (after a purge, or after cleaning) is dry."""
    own = dryers_of(case, work)
    hours = {drying_seconds(case.campaign.resins[resin]) for resin, _ in work.melts}
    cleaning = seconds_of(case.campaign.floor.dryer_cleaning_minutes)
    for other in case.works:
        if other is work or not own & dryers_of(case, other):
            continue
        yield other.end
        ends = [other.end]
        if other.run.changeover is not None:
            ends.append(case.clock.second(other.run.changeover.end))
        for end in ends:
            for dry in hours:
                yield _next_there(case, end, 0) + dry
                yield _next_there(case, end, cleaning) + dry


def _next_there(case: Case, moment: int, takes: int) -> int:
    """When work at a dryer that takes so long can be done, at the earliest from then on."""
    if not case.dryers_served:
        return moment + takes
    return next(
        (max(moment, start) + takes for start, last in case.dryers_served if max(moment, start) + takes <= last),
        moment + takes,
    )


def _loads(case: Case) -> Iterator[str]:
    runs = {work.run.id: {resin for resin, _ in work.melts} for work in case.works}
    for load in case.plan.drying:
        resin = case.campaign.resins.get(load.resin)
        what = _said(load)
        if resin is None or not resin.drying_hours:
            yield f"{what}: the campaign does not dry `{load.resin}`"
            continue
        begun, dry, first, last = (
            case.clock.second(moment) for moment in (load.load_at, load.dry_at, load.used_from, load.used_until)
        )
        if load.dryer != (resin.dryer or load.resin):
            yield f"{what}: `{load.resin}` goes into dryer `{resin.dryer or load.resin}`"
        if load.degrees_c != resin.drying_c:
            yield f"{what}: dried at {load.degrees_c} degrees, the campaign says {resin.drying_c}"
        hours = dry - begun - drying_seconds(resin)
        if hours < -1 or (load.fill_kg is None and hours > 1):
            yield f"{what}: {(dry - begun) / 3600:g} h in the dryer, the campaign says {resin.drying_hours:g} h"
        filled = load.kg if load.fill_kg is None else load.fill_kg
        if resin.dryer_kg is not None and filled > resin.dryer_kg + KG:
            yield f"{what}: {filled:g} kg, the dryer holds {resin.dryer_kg:g} kg"
        if not 0 < filled <= load.kg + KG or not dry <= first <= last:
            yield f"{what}: {load.kg:g} kg, dry {case.clock.say(dry)}, used from {case.clock.say(first)}"
        if not load.runs or any(load.resin not in runs.get(name, ()) for name in load.runs):
            yield f"{what}: for runs {', '.join(load.runs)}, which do not all mould `{load.resin}`"


def _one_resin_at_a_time(case: Case) -> Iterator[str]:
    """Where another resin goes in, the one before is used up and the dryer cleaned; else nothing is cleaned."""
    by_dryer: dict[str, list[DryerLoad]] = defaultdict(list)
    for load in case.plan.drying:
        by_dryer[load.dryer].append(load)
    second, minutes = case.clock.second, seconds_of(case.campaign.floor.dryer_cleaning_minutes)
    for dryer, loads in by_dryer.items():
        loads.sort(key=lambda load: second(load.load_at))
        if loads[0].cleaned_from is not None:
            yield f"dryer `{dryer}` is cleaned before its first load, which nothing asks for"
        for before, after in pairwise(loads):
            if after.resin == before.resin:
                if after.cleaned_from is not None:
                    yield f"dryer `{dryer}` is cleaned between two loads of `{after.resin}`"
                if after.fill_kg is None and second(after.load_at) < second(before.dry_at) - 1:
                    yield f"dryer `{dryer}` is loaded {after.load_at:%Y-%m-%d %H:%M} while it still dries"
                continue
            if second(after.load_at) < second(before.used_until):
                yield (
                    f"dryer `{dryer}` is loaded with `{after.resin}` {after.load_at:%Y-%m-%d %H:%M}, and "
                    f"`{before.resin}` is drawn from it until {before.used_until:%Y-%m-%d %H:%M}"
                )
            if after.cleaned_from is None or after.cleaned_until is None:
                yield f"dryer `{dryer}` is not cleaned between `{before.resin}` and `{after.resin}`"
                continue
            start, end = second(after.cleaned_from), second(after.cleaned_until)
            if end - start != minutes or start < second(before.used_until) or end > second(after.load_at):
                yield (
                    f"dryer `{dryer}` takes {minutes / 60:g} min to clean between `{before.resin}` and "
                    f"`{after.resin}`, the plan gives it {case.clock.say(start)} to {case.clock.say(end)}"
                )


def _outrun(case: Case, drawn: dict[str, Drawn]) -> Iterator[str]:
    """Dryers of which more is drawn on one filling than they hold."""
    old = {load.resin for load in case.plan.drying if load.fill_kg is None}
    for name, what in drawn.items():
        resin = case.campaign.resins[name]
        if resin.dryer_kg is None or name in old:
            continue
        most = what.most_on_one_filling()
        if most > resin.dryer_kg + KG * max(1, len(what.parts)):
            yield (
                f"`{name}`: {most:.2f} kg are drawn in as long as drying takes, of what was put in before; its dryer "
                f"dries {resin.dryer_kg:g} kg in {resin.drying_hours:g} h"
            )


def _drawn(case: Case, drawn: dict[str, Drawn]) -> Iterator[str]:
    """At no moment is more drawn than was dry, and in the end as much is dried as is drawn."""
    for name, what in drawn.items():
        slack = KG * max(1, len(what.parts))
        loads = sorted((load for load in case.plan.drying if load.resin == name), key=lambda load: load.dry_at)
        dried, taken = sum(load.kg for load in loads), sum(draw.kg for draw in what.parts)
        if not same(dried, taken, slack):
            yield f"`{name}`: {dried:.3f} kg are dried, the runs draw {taken:.3f} kg"
        before = 0.0
        for load in loads:
            # a second's draw may be rounded to either side of a load
            early = what.by(case.clock.second(load.dry_at) - 2)
            if early > before + slack:
                yield f"`{name}`: {early:.3f} kg are drawn by {load.dry_at:%Y-%m-%d %H:%M}, {before:.3f} kg were dry"
                break
            before += load.kg
            late = what.by(case.clock.second(load.used_until) + 2)
            if load.fill_kg is not None and late < before - slack:
                yield f"{_said(load)}: {load.kg:.3f} kg, of which {before - late:.3f} kg are not drawn while it is used"


def _fillings(case: Case, drawn: dict[str, Drawn]) -> Iterator[str]:
    """What is filled in lasts until something fresh can be dry, and nothing stays in the dryer longer than it may."""
    for load in case.plan.drying:
        what = drawn.get(load.resin)
        if what is None:
            continue
        loaded, dry, until = (case.clock.second(at) for at in (load.load_at, load.dry_at, load.used_until))
        before = what.by(dry)
        filled = load.kg if load.fill_kg is None else load.fill_kg
        emptied = what.moment_of(before + filled)
        served = case.dryers_served_for(load.resin)
        again = next((start for start, last in served if last > loaded), loaded)
        fresh = max(again, loaded) + what.dry_s
        # a pause after the filling is used up harms nobody: what counts is what is drawn before something fresh is dry
        short = what.by(min(fresh, until) - 2) > before + filled + KG * max(1, len(what.parts))
        if served and short:
            yield (
                f"{_said(load)}: the {filled:.2f} kg filled in last until {case.clock.say(int(emptied))}, and nothing "
                f"fresh can be dry before {case.clock.say(fresh)}"
            )
        stays = emptied - dry
        for moment in [jump for jump in what.jumps() if emptied < jump < until] + [until]:
            if moment > emptied and what.by(moment) > what.by(moment - 1) + 1e-12:
                stays = max(stays, moment - what.dry_s - what.filled_by(moment - 1))
        if load.fill_kg is None:
            stays = until - dry
        resin = case.campaign.resins[load.resin]
        family = family_word(load.resin, resin)
        usual = max(24.0 if family in A_DAY else 12.0, resin.drying_hours)
        keeps = usual if resin.dried_keeps_hours is None else resin.dried_keeps_hours
        if stays > keeps * 3600 + 5:
            yield f"{_said(load)}: some of it stays in the dryer {stays / 3600:.1f} h once dry, and may {keeps:g} h"
        if load.waits_hours is not None and stays > load.waits_hours * 3600 + 5:
            yield f"{_said(load)}: some of it stays {stays / 3600:.2f} h once dry, the plan says {load.waits_hours:g} h"


def _said(load: DryerLoad) -> str:
    return f"load of dryer `{load.dryer}` with `{load.resin}` at {load.load_at:%Y-%m-%d %H:%M}"
