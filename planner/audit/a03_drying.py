"""A3, drying: every kilogram of a resin that must be dried comes out of a load of its dryer that is dry by then.

Loads follow from the runs alone: what a run draws between two closings it draws evenly, its purge and start-up at the
beginning. A dryer holds one load at a time, so it dries what it holds / hours: a run draws no faster, unless one load
is all that it takes.
"""

from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise

from planner.audit import masses
from planner.audit.arrivals import drying_seconds
from planner.audit.case import Case, Work
from planner.audit.figures import KG, same
from planner.audit.findings import Findings
from planner.plan.document import DryerLoad

Draw = tuple[int, int, float]
"""From, to, kg."""


def drying(case: Case, notes: Findings) -> None:
    """Every load of every dryer, and what the runs draw of each resin that is dried."""
    for trouble in (*_loads(case), *_one_at_a_time(case), *_drawn(case), *_outrun(case)):
        notes.fault(trouble)


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
        if abs(dry - begun - drying_seconds(resin)) > 1:
            yield f"{what}: {(dry - begun) / 3600:g} h in the dryer, the campaign says {resin.drying_hours:g} h"
        if resin.dryer_kg is not None and load.kg > resin.dryer_kg + KG:
            yield f"{what}: {load.kg:g} kg, the dryer holds {resin.dryer_kg:g} kg"
        if load.kg <= 0 or not dry <= first <= last:
            yield f"{what}: {load.kg:g} kg, dry {case.clock.say(dry)}, used from {case.clock.say(first)}"
        if not load.runs or any(load.resin not in runs.get(name, ()) for name in load.runs):
            yield f"{what}: for runs {', '.join(load.runs)}, which do not all mould `{load.resin}`"


def _one_at_a_time(case: Case) -> Iterator[str]:
    by_dryer: dict[str, list[DryerLoad]] = defaultdict(list)
    for load in case.plan.drying:
        by_dryer[load.dryer].append(load)
    for dryer, loads in by_dryer.items():
        loads.sort(key=lambda load: case.clock.second(load.load_at))
        for before, after in pairwise(loads):
            if case.clock.second(after.load_at) < case.clock.second(before.dry_at) - 1:
                yield f"dryer `{dryer}` is loaded {after.load_at:%Y-%m-%d %H:%M} while it still dries `{before.resin}`"


def _outrun(case: Case) -> Iterator[str]:
    """Runs that draw faster than the dryer dries, and more than it holds."""
    for work in case.works:
        for name in sorted({resin for resin, _ in work.melts}):
            resin = case.campaign.resins[name]
            if not resin.drying_hours or resin.dryer_kg is None:
                continue
            taken = sum(kg for _, _, kg in _draws(case, work, name))
            shot = sum(
                float(grams) / 1000 * masses.made_of(case.campaign, melt)["resin", name]
                for melt, grams in zip(work.melts, work.shot_g, strict=True)
                if melt[0] == name
            )
            rate, dries = shot * 3600 / float(work.shot), resin.dryer_kg / resin.drying_hours
            if rate > dries * (1 + 1e-9) and taken > resin.dryer_kg + KG:
                yield f"{work} draws {rate:.2f} kg of `{name}` an hour, its dryer dries {dries:.2f}"


def _drawn(case: Case) -> Iterator[str]:
    """At no moment is more drawn than was dry, and in the end as much is dried as is drawn."""
    for name, resin in case.campaign.resins.items():
        if not resin.drying_hours:
            continue
        draws = [draw for work in case.works for draw in _draws(case, work, name)]
        loads = sorted((case.clock.second(load.dry_at), load.kg) for load in case.plan.drying if load.resin == name)
        dried, taken = sum(kg for _, kg in loads), sum(kg for _, _, kg in draws)
        if not same(dried, taken, KG * max(1, len(draws))):
            yield f"`{name}`: {dried:.3f} kg are dried, the runs draw {taken:.3f} kg"
        before = 0.0
        for dry_at, kg in loads:
            # a second's draw may be rounded to either side of a load
            early = sum(_by(draw, dry_at - 2) for draw in draws)
            if early > before + KG * max(1, len(draws)):
                yield f"`{name}`: {early:.3f} kg are drawn by {case.clock.say(dry_at)}, {before:.3f} kg were dry"
                break
            before += kg


def _draws(case: Case, work: Work, resin: str) -> Iterator[Draw]:
    """What the run draws of a resin between two closings."""
    changeover = work.run.changeover
    moulded, purged = masses.moulded_kg(work), masses.purged_kg(work)
    for n, stretch in enumerate(work.run.stretches):
        start = changeover.start if changeover and n == 0 else stretch.start
        shots = stretch.shots + stretch.restart_shots + (changeover.startup_shots if changeover and n == 0 else 0)
        for melt, kg, purge in zip(work.melts, moulded, purged, strict=True):
            share = masses.made_of(case.campaign, melt).get(("resin", resin), 0.0)
            if share and work.run.shots:
                drawn = (kg / work.run.shots * shots + (purge if n == 0 else 0.0)) * share
                yield case.clock.second(start), case.clock.second(stretch.end), drawn


def _by(draw: Draw, moment: int) -> float:
    start, end, kg = draw
    return kg if moment >= end else kg * max(0, moment - start) / max(1, end - start)


def _said(load: DryerLoad) -> str:
    return f"load of dryer `{load.dryer}` with `{load.resin}` at {load.load_at:%Y-%m-%d %H:%M}"
