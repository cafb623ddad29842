"""A8 of what goes from one bench to another at another place: all of it, when it can, and taken no sooner."""

from collections import Counter, defaultdict

from planner.audit.case import Case
from planner.audit.figures import MONEY, exact, same
from planner.audit.findings import Findings
from planner.audit.places import route, way
from planner.plan.document import CarriedLot, FinishingJob

Key = tuple[str, str]
"""What is done with a lot, and who takes it."""


def carried_on(case: Case, notes: Findings) -> None:
    """Each lot that must travel between benches does, once, by the ways there are."""
    due = _due(case)
    told = Counter((lot.of, lot.to) for lot in case.plan.carried)
    for key, times in sorted(told.items()):
        notes.expect(key in due and times == 1, f"{key[0]} is carried to {key[1]} {times} times")
    for key in sorted(set(due) - set(told)):
        notes.fault(f"{key[0]} and {key[1]} are at different places, and nothing is carried between them")
    for lot in case.plan.carried:
        if (lot.of, lot.to) in due:
            _lot(case, lot, due[lot.of, lot.to], notes)


class _Due:
    """One lot: from where to where, how many units, when it may leave, and when it is taken."""

    def __init__(self, ways: list[tuple[str, bool]], units: int, ready: int, taken: int) -> None:
        self.ways, self.units, self.ready, self.taken = ways, units, ready, taken


def _due(case: Case) -> dict[Key, _Due]:
    campaign, second = case.campaign, case.clock.second
    at = {name: bench.place for name, bench in campaign.finishing_benches.items()}
    order = list(campaign.finishing_benches)
    found: dict[Key, _Due] = {}
    worked: dict[str, list[FinishingJob]] = defaultdict(list)
    for one in case.plan.finishing:
        if one.bench in at:
            worked[one.assembly].append(one)
    for job in case.plan.assembly if worked else ():
        mine = sorted(worked.get(job.id, []), key=lambda one: order.index(one.bench))
        stops = [(one.id, at[one.bench], second(one.start)) for one in mine]
        stops.append((job.id, campaign.assembly.place, second(job.start)))
        for n, one in enumerate(mine):
            name, place, taken = stops[n + 1]
            found[one.id, name] = _Due(route(at[one.bench], place), job.units, second(one.rested), taken)
    ways = route(campaign.assembly.place, campaign.packing.place)
    for batch in case.plan.batches if ways else ():
        jobs = case.jobs_of(batch)
        if jobs:
            ready, units = max(second(job.end) for job in jobs), sum(job.units for job in jobs)
            found[batch.id, batch.id] = _Due(ways, units, ready, second(batch.start))
    return {key: one for key, one in found.items() if one.ways}


def _lot(case: Case, lot: CarriedLot, due: _Due, notes: Findings) -> None:
    clock = case.clock
    notes.expect(
        (clock.second(lot.ready), lot.units) == (due.ready, due.units),
        f"{lot.of} with {due.units} units may leave {clock.say(due.ready)}, the plan says {lot.units} units, "
        f"{clock.say(clock.second(lot.ready))}",
    )
    if not notes.expect(
        [visit.firm for visit in lot.visits] == [name for name, _ in due.ways],
        f"{lot.of} goes by {', '.join(name for name, _ in due.ways)}, the plan says otherwise",
    ):
        return
    moment = due.ready
    for visit, (name, out) in zip(lot.visits, due.ways, strict=True):
        told, going = (
            (clock.second(visit.leaves), clock.second(visit.back)),
            way(case.campaign, name, out, case.start, moment),
        )
        if not notes.expect(
            told == going,
            f"{lot.of} leaves for {lot.to} {clock.say(told[0])} and is there {clock.say(told[1])}: it cannot",
        ):
            return
        price = float(exact(case.campaign.places[name].lot_price))
        notes.expect(
            same(visit.price, price, MONEY) and visit.what == ["taken there" if out else "brought here"],
            f"{lot.of}: the way of {lot.to} costs {price:.2f}, the plan says {visit.price:.2f}",
        )
        moment = told[1]
    notes.expect(
        moment <= due.taken,
        f"{lot.to} is begun {clock.say(due.taken)}, before {lot.of} has come {clock.say(moment)}",
    )
