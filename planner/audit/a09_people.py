"""A9: bench work booked at any moment <= people there; changeovers at any moment <= setters; at presses as many people
stay as there are, at the most.

A bench works on one batch at a time with all people there, and is done when their person-seconds suffice.
"""

from collections import Counter, defaultdict
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

from planner.audit.a08_finishing import minutes as finishing_minutes
from planner.audit.case import Case, Work
from planner.audit.curves import curves
from planner.audit.figures import exact, same, whole_up
from planner.audit.findings import Findings
from planner.audit.needs import Item
from planner.audit.opening import Shift
from planner.audit.places import setters_of, who_stay
from planner.audit.sampling import bench_minutes, inspections
from planner.plan.document import Assembly, FinishingJob, PackBatch, RuleVerdict


class Booked(NamedTuple):
    """Work on a bench: whose, when (UTC seconds), how many person-seconds of it."""

    start: int
    end: int
    who: str
    person_seconds: int


def check(case: Case) -> RuleVerdict:
    """A9 for all benches, for the setters and for those who stay at presses."""
    notes = Findings("A9")
    assembly, packing, inspecting = [], [], bench_minutes(case)
    for job in case.plan.assembly:
        product = case.campaign.products.get(job.product)
        if product is not None:
            minutes, share = assembly_minutes(case, job, inspecting)
            assembly.append(_book(case, job, f"assembly {job.id}", minutes, notes))
            notes.expect(
                same(job.inspection_minutes, float(share), 0.02),
                f"assembly {job.id}: {float(share):g} minutes of its parts' inspection, the plan says "
                f"{job.inspection_minutes:g}",
            )
    for batch in case.plan.batches:
        tier = case.campaign.tiers.get(batch.tier)
        if tier is not None:
            packing.append(_book(case, batch, f"batch {batch.id}", batch.parcels * exact(tier.pack_minutes), notes))
    _from_hand(case, notes)
    campaign = case.campaign
    _bench(case, "assembly", assembly, case.shifts_of(campaign.assembly, campaign.assembly.people), notes)
    _bench(case, "packing", packing, case.shifts_of(campaign.packing, campaign.packing.people), notes)
    for name, bench in campaign.finishing_benches.items():
        mine = [
            _book(case, one, one.id, finishing_minutes(case, one), notes)
            for one in case.plan.finishing
            if one.bench == name
        ]
        _bench(case, name, mine, case.shifts_of(bench, bench.people), notes)
    _setters(case, notes)
    _operators(case, notes)
    if case.campaign.floor.attended is not None:
        _somebody_there(case, notes)
        _dryers_served(case, case.shifts_of(case.campaign.floor.attended), notes)
    inspections(case, notes)
    curves(case, notes)
    return notes.verdict(True, "bench work")


def assembly_minutes(case: Case, job: Assembly, inspecting: dict[Item, Fraction]) -> tuple[Fraction, Fraction]:
    """Person-minutes of a job, and those of them that are its parts' share of their lots' inspection."""
    product = case.campaign.products[job.product]
    share = Fraction(0)
    if inspecting and job.colourway in product.colourways:
        items = case.items_in(job.product, job.colourway)
        share = sum((n * inspecting[item] for item, n in items.items() if item in inspecting), Fraction(0))
    units = job.units - job.from_hand
    return units * (exact(product.assembly_minutes) + share), units * share


def _from_hand(case: Case, notes: Findings) -> None:
    """Every unit in hand that somebody is waiting for goes out, and no more of them than there are."""
    asked: Counter[tuple[str, str]] = Counter()
    taken: Counter[tuple[str, str]] = Counter()
    for job in case.plan.assembly:
        asked[job.product, job.colourway] += job.units
        taken[job.product, job.colourway] += job.from_hand
        notes.expect(0 <= job.from_hand <= job.units, f"assembly {job.id}: {job.from_hand} of {job.units} from hand")
    for (name, colourway), units in asked.items():
        product = case.campaign.products.get(name)
        there = min(units, product.assembled.get(colourway, 0)) if product else 0
        notes.expect(
            taken[name, colourway] == there,
            f"`{name}` in `{colourway}`: {there} units in hand are asked for, the plan takes {taken[name, colourway]}",
        )


def _book(case: Case, job: Assembly | FinishingJob | PackBatch, who: str, minutes: Fraction, notes: Findings) -> Booked:
    notes.expect(
        same(job.person_minutes, float(minutes), 0.02),
        f"{who} takes {float(minutes):g} person-minutes, the plan says {job.person_minutes:g}",
    )
    notes.expect(
        case.clock.well_written(job.start) and case.clock.well_written(job.end),
        f"{who}: a moment is not a whole second with the offset of {case.campaign.time_zone}",
    )
    start, end = case.clock.second(job.start), case.clock.second(job.end)
    notes.expect(start >= case.start, f"{who} begins {case.clock.say(start)}, before the campaign starts")
    return Booked(start, end, who, whole_up(minutes * 60))


def _bench(case: Case, name: str, booked: list[Booked], shifts: list[Shift], notes: Findings) -> None:
    booked.sort()
    for before, after in pairwise([one for one in booked if one.end > one.start]):
        notes.expect(
            before.end <= after.start,
            f"{name} bench: {after.who} begins {case.clock.say(after.start)} while all people work on {before.who} "
            f"until {case.clock.say(before.end)}",
        )
    for one in booked:
        end = done_at(one.start, one.person_seconds, shifts)
        notes.expect(
            end == one.end,
            f"{name} bench: {one.who} needs {one.person_seconds} person-seconds from {case.clock.say(one.start)}, "
            f"done {case.clock.say(end) if end is not None else 'never'}; the plan says {case.clock.say(one.end)}",
        )


def done_at(start: int, person_seconds: int, shifts: list[Shift]) -> int | None:
    """The second by which the people there from `start` on have worked so many person-seconds."""
    if person_seconds <= 0:
        return start
    left = person_seconds
    for shift in shifts:
        begin = max(start, shift.start)
        if begin >= shift.end or not shift.people:
            continue
        if left <= (shift.end - begin) * shift.people:
            return begin + -(-left // shift.people)
        left -= (shift.end - begin) * shift.people
    return None


def _dryers_served(case: Case, people: list[Shift], notes: Findings) -> None:
    """Dryers are loaded and cleaned while somebody is there; before the campaign starts nobody's hours are known."""
    for load in case.plan.drying:
        if not case.dryers_served_for(load.resin):
            continue
        at = case.clock.second(load.load_at)
        notes.expect(
            at <= case.start or any(shift.start <= at < shift.end for shift in people),
            f"dryer `{load.dryer}` is loaded {case.clock.say(at)}, when nobody is there",
        )
        if load.cleaned_from is not None and load.cleaned_until is not None:
            start, end = case.clock.second(load.cleaned_from), case.clock.second(load.cleaned_until)
            notes.expect(
                any(begins <= start and end <= last for begins, last in case.dryers_served),
                f"dryer `{load.dryer}` is cleaned {case.clock.say(start)} to {case.clock.say(end)}, while nobody "
                "is there for some of it",
            )


def _somebody_there(case: Case, notes: Findings) -> None:
    """Whatever needs hands begins and ends while somebody is there; what must not stand is made only then."""
    for work in case.works:
        busy = []
        if change := work.run.changeover:
            busy.append(("its changeover", case.clock.second(change.start), case.clock.second(change.end)))
        for stretch in work.run.stretches:
            start, end = case.clock.second(stretch.start), case.clock.second(stretch.end)
            if stretch.restart_seconds:
                busy.append(("a restart", start, start + stretch.restart_seconds))
            if stretch.closing is not None:
                busy.append(("a melt that must not stand", start, end))
            if work.tool.operators:
                busy.append(("shots that somebody stays with", start, end))
        for what, start, end in busy:
            notes.expect(
                any(one.start <= start and end <= one.hands for one in case.manned[work.run.press]),
                f"{work}: nobody is there for {what}, {case.clock.say(start)} to {case.clock.say(end)}",
            )


def _setters(case: Case, notes: Findings) -> None:
    """At most as many changeovers at once as there are setters; none is at two presses at once."""
    by_place: dict[str | None, list[tuple[int, int, Work]]] = defaultdict(list)
    for work in case.works:
        if changeover := work.run.changeover:
            setters = setters_of(case.campaign, work.press)[0]
            span = case.clock.second(changeover.start), case.clock.second(changeover.end)
            by_place[work.press.place].append((*span, work))
            notes.expect(
                1 <= changeover.setter <= setters,
                f"{work}: setter {changeover.setter} does not exist, there are {setters}",
            )
    for at_work in by_place.values():
        _at_one_place(case, at_work, notes)


def _at_one_place(case: Case, at_work: list[tuple[int, int, Work]], notes: Findings) -> None:
    setters = setters_of(case.campaign, at_work[0][2].press)[0]
    for start, end, work in at_work:
        if start == end:
            continue  # nothing to mount, purge or start up: nobody's hands are held
        mine = work.run.changeover.setter if work.run.changeover else 0
        busy = [other for begin, end, other in at_work if begin <= start < end]
        notes.expect(
            len(busy) <= setters,
            f"{case.clock.say(start)}: {len(busy)} changeovers at once (runs "
            f"{', '.join(other.run.id for other in busy)}) for {setters} setter{'s' if setters > 1 else ''}",
        )
        same_hands = [
            other
            for other in busy
            if other is not work and other.run.changeover and other.run.changeover.setter == mine
        ]
        notes.expect(
            not same_hands,
            f"{case.clock.say(start)}: setter {mine} is busy at run {', '.join(other.run.id for other in same_hands)} "
            f"when {work} needs hands",
        )


def _operators(case: Case, notes: Findings) -> None:
    """Where a tool asks for people, so many stay at its runs, changeovers included, from begin to end; never more at
    once than there are."""
    by_place: dict[str | None, list[Work]] = defaultdict(list)
    for work in case.works:
        notes.expect(
            work.run.operators == work.tool.operators,
            f"{work}: its tool asks for {work.tool.operators} to stay at the press, the plan says {work.run.operators}",
        )
        if work.tool.operators:
            by_place[work.press.place].append(work)
    for works in by_place.values():
        there = who_stay(case.campaign, works[0].press)[0]
        for work in works:
            others = [one for one in works if one.begin <= work.begin < one.end]
            asked = sum(one.tool.operators for one in others)
            notes.expect(
                asked <= there,
                f"{case.clock.say(work.begin)}: {asked} stay at presses (runs "
                f"{', '.join(one.run.id for one in others)}), there are {there}",
            )
