"""Work between press and assembly: its order (A8), its people (A9), lots that travel (A8), its money (A12)."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from fractions import Fraction

from planner.audit.a08_carried import carried_on
from planner.audit.case import Case
from planner.audit.figures import MONEY, exact, same, whole_up
from planner.audit.findings import Findings
from planner.audit.finishing import (
    Stay,
    asked,
    finished_in_hand,
    into,
    journey,
    put_there,
    rested,
    transfer_lots,
    worked_on,
)
from planner.audit.needs import Item
from planner.campaign.finishing import FinishingStep
from planner.plan.document import Assembly, CarriedLot, FinishedPart, FinishingJob, FinishingLot


def in_order(case: Case, notes: Findings) -> None:
    """A8: whoever needs a bench has been there, one bench after the other, rested, before assembly begins."""
    jobs = {job.id: job for job in case.plan.assembly}
    for one in case.plan.finishing:
        notes.expect(
            one.assembly in jobs and one.bench in case.campaign.finishing_benches,
            f"{one.id} is on bench `{one.bench}` for {one.assembly}: one of them is not there",
        )
    seen = Counter((one.bench, one.assembly) for one in case.plan.finishing)
    for (bench, name), times in seen.items():
        notes.expect(times == 1, f"bench `{bench}` works {times} times for {name}")
    for job in case.plan.assembly:
        _before(case, job, notes)
    _shares(case, notes)
    _put_together(case, notes)
    for item in sorted(case.needs):
        _transfer_lots(case, item, notes)
    carried_on(case, notes)
    known = {(lot.part, tuple(lot.colours)) for lot in case.plan.finishing_lots}
    for item in known - set(case.needs):
        notes.fault(f"a lot of `{item[0]}` travels, which nobody asks for")


def _before(case: Case, job: Assembly, notes: Findings) -> None:
    mine, rested = worked_on(case, job), 0
    for bench in case.campaign.finishing_benches:
        one = mine.get(bench)
        if one is None:
            continue
        start, end = case.clock.second(one.start), case.clock.second(one.end)
        notes.expect(
            rested <= start,
            f"{one.id} begins {case.clock.say(start)}, before the bench before it is done with the parts",
        )
        rests = [_rest(case, bench, part) for part in one.parts]
        rests += [whole_up(exact(sub.rest_hours) * 3600) for _, sub, _ in put_there(case, job, one)]
        rest = max(rests, default=0)
        notes.expect(
            case.clock.second(one.rested) == end + rest,
            f"{one.id}: its parts have rested {case.clock.say(end + rest)}, the plan says otherwise",
        )
        rested = end + rest
    start = case.clock.second(job.start)
    if not mine:
        return
    notes.expect(
        rested <= start,
        f"assembly {job.id} begins {case.clock.say(start)}, its parts are done and rested {case.clock.say(rested)}",
    )


def _rest(case: Case, bench: str, part: FinishedPart) -> int:
    made = case.campaign.parts.get(part.part)
    steps = [step for step in made.finishing if step.at == bench] if made else []
    return whole_up(exact(steps[-1].rest_hours) * 3600) if steps else 0


def _shares(case: Case, notes: Findings) -> None:
    """Every part that must pass a bench does, but for finished ones in stock; together just so many."""
    due, told = asked(case), {(one.bench, one.assembly): one for one in case.plan.finishing}
    spared: Counter[tuple[str, Item]] = Counter()
    for key in sorted(set(due) | set(told)):
        one = told.get(key)
        parts = {(part.part, tuple(part.colours)): part for part in one.parts} if one else {}
        for item in sorted(set(due.get(key, {})) | set(parts)):
            wanted = due.get(key, {}).get(item, 0)
            good = parts[item].good if item in parts else 0
            notes.expect(
                0 <= good <= wanted,
                f"bench `{key[0]}` works on {good} `{item[0]}` for {key[1]}, which takes {wanted} of them",
            )
            spared[key[0], item] += wanted - good
            if one is not None and item in parts:
                _said(case, one, parts[item], notes)
    free = finished_in_hand(case)
    for (bench, item), parts_spared in spared.items():
        wanted = sum(due[key].get(item, 0) for key in due if key[0] == bench)
        there = min(wanted, free[item])
        notes.expect(
            parts_spared == there,
            f"bench `{bench}` leaves out {parts_spared} `{item[0]}` in {' and '.join(item[1])}; {there} are in stock "
            "finished",
        )


def _put_together(case: Case, notes: Findings) -> None:
    """Sub-assemblies are put together where the product says, of what it says, for all units but those in hand."""
    jobs = {job.id: job for job in case.plan.assembly}
    done: Counter[tuple[str, str, str]] = Counter()
    for one in case.plan.finishing:
        job = jobs.get(one.assembly)
        product = case.campaign.products.get(job.product) if job else None
        if job is None or product is None or not one.puts:
            continue
        names = [put.what for put in one.puts]
        notes.expect(len(names) == len(set(names)), f"{one.id} puts one sub-assembly together twice")
        for put in one.puts:
            sub = product.sub_assemblies.get(put.what)
            due = job.units - job.from_hand
            if not notes.expect(
                sub is not None and sub.at == one.bench and 0 < put.units <= due,
                f"{one.id} puts {put.units} `{put.what}` together on bench `{one.bench}`; {due} units are due",
            ):
                continue
            assert sub is not None
            into = {part: product.parts.get(part, 0) for part in sub.parts}
            into |= {piece: product.pieces.get(piece, 0) for piece in sub.pieces}
            notes.expect(put.of == into, f"{one.id}: into `{put.what}` go {into}, the plan says {put.of}")
            done[job.product, put.what, job.colourway] += put.units
    for name, product in case.campaign.products.items():
        for sub_name, sub in product.sub_assemblies.items():
            for colourway in product.colourways:
                mine = [job for job in jobs.values() if (job.product, job.colourway) == (name, colourway)]
                due = sum(job.units - job.from_hand for job in mine)
                left = max(0, due - sub.in_hand.get(colourway, 0))
                told = done[name, sub_name, colourway]
                notes.expect(
                    told == left,
                    f"`{sub_name}` of `{name}` in `{colourway}`: {left} are to be put together, the plan says {told}",
                )


def _said(case: Case, one: FinishingJob, part: FinishedPart, notes: Findings) -> None:
    steps = case.campaign.parts[part.part].finishing
    mine = [n for n, step in enumerate(steps) if step.at == one.bench]
    if not notes.expect(bool(mine), f"{one.id}: `{part.part}` has no step on bench `{one.bench}`"):
        return
    lost = Fraction(1)
    for step in steps[mine[0] :]:
        lost *= 1 - exact(step.scrap_share)
    notes.expect(
        same(part.goes_in, float(part.good / lost), 1e-6) and part.what == [steps[n].what for n in mine],
        f"{one.id}: for {part.good} good `{part.part}` {float(part.good / lost):.2f} go in, the plan says otherwise",
    )
    job = assembled(case, one)
    product = case.campaign.products.get(job.product) if job else None
    given = product.finished_in.get(job.colourway, {}).get(part.part) if product and job else None
    wanted = given if any(steps[n].gives_colour for n in mine) else None
    notes.expect(part.colour == wanted, f"{one.id}: `{part.part}` gets {wanted}, the plan says {part.colour}")


def _transfer_lots(case: Case, item: Item, notes: Findings) -> None:
    """The lots of an item that travels: as many as there must be, each when it can."""
    told = [lot for lot in case.plan.finishing_lots if (lot.part, tuple(lot.colours)) == item]
    need = case.needs[item]
    wanted = need.ordered or need.spares or need.taken
    ours = transfer_lots(case, item) if wanted else []
    what = f"lots of `{item[0]}` in {' and '.join(item[1])}"
    if not told and not ours:
        return
    if not notes.expect(len(told) == len(ours), f"{what}: {len(ours)} travel, the plan has {len(told)}"):
        return
    told.sort(key=lambda lot: (lot.tool or "", case.clock.second(lot.complete), case.clock.second(lot.there)))
    for lot, due in zip(told, sorted(ours, key=lambda one: one.tool or ""), strict=True):
        if not notes.expect(lot.tool == due.tool, f"{what}: {lot.id} is of what {due.tool or 'all tools'} made"):
            continue
        notes.expect(lot.good == due.good, f"{what}: {lot.id} has {due.good} good parts, the plan says {lot.good}")
        if due.complete is None:
            notes.fault(f"{what}: {lot.id} is never complete")
            continue
        complete = case.clock.second(lot.complete)
        notes.expect(
            complete == due.complete,
            f"{what}: {lot.id} is complete {case.clock.say(due.complete)}, the plan says {case.clock.say(complete)}",
        )
        _visits(case, lot, due.going, due.complete, notes)
    _colours(case, item, told, ours[0].going, notes)


def _visits(case: Case, lot: FinishingLot, going: Sequence[Stay], moment: int, notes: Findings) -> None:
    if not notes.expect(
        [visit.firm for visit in lot.visits] == [stay.firm for stay in going],
        f"{lot.id} goes to {', '.join(stay.firm for stay in going)}, the plan says otherwise",
    ):
        return
    for visit, stay in zip(lot.visits, going, strict=True):
        due = journey(case, stay, moment)
        leaves, back = case.clock.second(visit.leaves), case.clock.second(visit.back)
        if not notes.expect(
            due == (leaves, back),
            f"{lot.id} leaves for `{stay.firm}` {case.clock.say(leaves)} and is back {case.clock.say(back)}: it cannot",
        ):
            return
        goes = whole_up(lot.good * (stay.into[0] if stay.steps else _still_in(case, lot.part, stay, going)))
        ways = ["taken there" if stay.out else "brought here"]
        notes.expect(
            visit.parts == goes and visit.what == ([step.what for step in stay.steps] or ways),
            f"{lot.id}: {goes} parts go to `{stay.firm}`, the plan says {visit.parts}",
        )
        price = lot_price(case, stay, lot.good)
        notes.expect(
            same(visit.price, price, MONEY),
            f"{lot.id}: `{stay.firm}` is paid {price:.2f}, the plan says {visit.price:.2f}",
        )
        moment = back + rested(stay)
    notes.expect(case.clock.second(lot.there) == moment, f"{lot.id} is there {case.clock.say(moment)}")


def _still_in(case: Case, part: str, way: Stay, going: Sequence[Stay]) -> Fraction:
    """How many of a part are on a way for one that is good after all of its steps."""
    before = sum(len(stay.steps) for stay in going[: going.index(way)])
    return next(iter(into(case, part)[before:]), Fraction(1))


def lot_price(case: Case, stay: Stay, good: int) -> float:
    """What is paid for a stay of a lot of so many good parts: the firm's work, and the way."""
    parts = sum(
        (exact(step.price) * whole_up(good * share) for step, share in zip(stay.steps, stay.into, strict=True)),
        Fraction(0),
    )
    place = case.campaign.places.get(stay.firm)
    whose = case.campaign.finishing_firms[stay.firm] if place is None else place
    return float(parts + exact(whose.lot_price))


def _colours(case: Case, item: Item, told: list[FinishingLot], going: Sequence[Stay], notes: Findings) -> None:
    """Where a firm gives the colour: the parts of each lot, in the order of service."""
    if not any(step.gives_colour for stay in going for step in stay.steps):
        notes.expect(not any(lot.in_colours for lot in told), f"lots of `{item[0]}` get no colour")
        return
    asked_for: list[str] = []
    for batch in sorted(case.plan.batches, key=lambda batch: batch.served):
        for job in sorted(case.jobs_of(batch), key=lambda job: (job.product, job.colourway)):
            product = case.campaign.products.get(job.product)
            if product is None or job.colourway not in product.colourways:
                continue
            parts = case.items_in(job.product, job.colourway)[item] * job.units
            asked_for += [product.finished_in.get(job.colourway, {}).get(item[0], "spare")] * parts
    begun = 0
    for lot in told:
        mine = Counter(asked_for[begun : begun + lot.good])
        mine["spare"] += lot.good - sum(mine.values())
        notes.expect(
            +mine == Counter(lot.in_colours), f"{lot.id} is to be {dict(+mine)}, the plan says {lot.in_colours}"
        )
        begun += lot.good


def assembled(case: Case, one: FinishingJob) -> Assembly | None:
    """The assembly job that a bench's job is for; of several of that name the first."""
    by_id = case.once(("assembly by id",), lambda: {job.id: job for job in reversed(case.plan.assembly)})
    return by_id.get(one.assembly)


def minutes(case: Case, one: FinishingJob) -> Fraction:
    """Person-minutes of a bench's job."""
    on_parts = sum((going * exact(step.minutes) for going, step in _worked(case, one)), Fraction(0))
    job = assembled(case, one)
    puts = put_there(case, job, one) if job else []
    return on_parts + sum((exact(sub.minutes) * units for _, sub, units in puts), Fraction(0))


def bench_money(case: Case, one: FinishingJob) -> float:
    """What the people of a bench's job cost."""
    bench = case.campaign.finishing_benches.get(one.bench)
    return whole_up(minutes(case, one) * 60) / 3600 * bench.rate_per_hour if bench is not None else 0.0


def ink(case: Case, one: FinishingJob) -> float:
    """What is paid by the piece for a bench's job."""
    return float(sum((going * exact(step.price) for going, step in _worked(case, one)), Fraction(0)))


def _worked(case: Case, one: FinishingJob) -> Iterator[tuple[Fraction, FinishingStep]]:
    """How many pieces begin each step that a bench's job takes its parts through: what it spoils goes in on top."""
    for part in one.parts:
        made = case.campaign.parts.get(part.part)
        going = Fraction(part.good)
        for step in reversed(made.finishing if made else []):
            going /= 1 - exact(step.scrap_share)
            if step.at == one.bench:
                yield going, step


def away(case: Case) -> list[FinishingLot | CarriedLot]:
    """All that travels before it is packed."""
    return [*case.plan.finishing_lots, *case.plan.carried]


def costs(case: Case) -> dict[str, float]:
    """Cost lines of work between press and assembly."""
    benches, labour, by_piece = case.campaign.finishing_benches, 0.0, 0.0
    for one in case.plan.finishing:
        if one.bench in benches:
            labour += bench_money(case, one)
            by_piece += ink(case, one)
    visits = [visit for lot in away(case) for visit in lot.visits]
    by_piece += sum(visit.price for visit in visits if visit.firm not in case.campaign.places)
    brought = sum(visit.price for visit in visits if visit.firm in case.campaign.places)
    return {"finishing labour": labour, "finishing by the piece": by_piece, "carriage": brought}


def due(case: Case) -> Iterator[tuple[date, str, str, float]]:
    """What is to be paid by when."""
    benches, firms = case.campaign.finishing_benches, case.campaign.finishing_firms
    for one in case.plan.finishing:
        if one.bench in benches:
            day = case.clock.day(case.clock.second(one.start))
            sunday = day + timedelta(days=7 - day.isoweekday())
            yield sunday, "work", "finishing labour", bench_money(case, one)
            yield sunday, "work", "finishing by the piece", ink(case, one)
    places = case.campaign.places
    paid: defaultdict[tuple[date, str, str], float] = defaultdict(float)
    for lot in away(case):
        for visit in lot.visits:
            who = places.get(visit.firm) or firms.get(visit.firm)
            if who is not None:
                day = case.clock.day(case.clock.second(visit.back)) + timedelta(days=who.balance_days)
                paid[day, "carriage" if visit.firm in places else "finishing", visit.firm] += visit.price
    for (on, what, firm), money in paid.items():
        yield on, what, firm, money
