"""Work between press and assembly, read from the campaign: what it spoils, when lots are back, who works on what."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from typing import NamedTuple

from planner.audit.case import Case
from planner.audit.counted import counted_on, counted_with
from planner.audit.figures import exact, whole_up
from planner.audit.needs import Item
from planner.audit.places import brought_from, route, taken_to, way
from planner.audit.shared import counts_with
from planner.campaign.finishing import FinishingFirm, FinishingStep
from planner.campaign.hours import DAYS
from planner.campaign.products import SubAssembly
from planner.plan.document import Assembly, FinishingJob

LONGEST = timedelta(days=3000)


class Stay(NamedTuple):
    """Steps of a part at one firm; into: share of what is good in the end that goes into each of them.

    Its way here from another place is a stay without steps, and so is its way there from our floor (`out`).
    """

    firm: str
    steps: tuple[FinishingStep, ...]
    into: tuple[Fraction, ...]
    out: bool = False


@dataclass(frozen=True)
class Batch:
    """A lot of an item: `good` parts, complete and rested at a second; None: the plan never makes it. tool: whose alone
    they are."""

    good: int
    upto: int
    complete: int | None
    going: tuple[Stay, ...]
    tool: str | None = None


def into(case: Case, part: str) -> list[Fraction]:
    """Of each step of a part: how many go in for one that is good after the last."""
    found, good = [], Fraction(1)
    for step in reversed(case.campaign.parts[part].finishing):
        good /= 1 - exact(step.scrap_share)
        found.append(good)
    return found[::-1]


def moulded_apart(case: Case, item: Item) -> list[str]:
    """Tools that make what is counted on of an item, at several places or at another one than that where some is in
    hand; empty: all of it comes from one (F11.1)."""
    return case.once(("moulded apart", item), lambda: _moulded_apart(case, item))


def _moulded_apart(case: Case, item: Item) -> list[str]:
    if not case.campaign.places:
        return []
    tools = _counted_on(case, item)
    places = {work.press.place for work in case.by_item.get(item, []) if work.run.tool in tools}
    every = {name: brought_from(case.campaign, item[0], [name]) for name in _makers(case, item[0])}
    if tools and case.needs[item].moulded and len(set(every.values())) > 1:
        takes = taken_to(case.campaign, item[0])
        places |= {place for place in every.values() if place != takes}
    return tools if len(places) > 1 else []


def _makers(case: Case, part: str) -> list[str]:
    return [name for name, tool in case.campaign.tools.items() if part in tool.cavities and tool.presses]


def _counted_on(case: Case, item: Item) -> list[str]:
    return [tool for tool, parts in counts_with(case, item).items() if parts]


def stays(case: Case, item: Item, tool: str | None = None) -> list[Stay]:
    """The way here from another place, the firms that a part goes to, and the way to the place that takes it. tool: of
    what it makes; none: of all, or where they are made at several places, of what is in hand unfinished."""
    return case.once(("stays", item, tool), lambda: _stays_of(case, item, tool))


def _stays_of(case: Case, item: Item, tool: str | None) -> list[Stay]:
    if not case.campaign.places:
        return _stays(case, item[0], None)
    tools = [tool] if tool is not None else [] if moulded_apart(case, item) else _counted_on(case, item)
    if not tools:
        takes, mine = taken_to(case.campaign, item[0]), _makers(case, item[0])
        tools = [one for one in mine if brought_from(case.campaign, item[0], [one]) != takes] or mine
    return _stays(case, item[0], tools)


def _stays(case: Case, part: str, tools: list[str] | None) -> list[Stay]:
    found: list[Stay] = []
    begin, end = brought_from(case.campaign, part, tools), taken_to(case.campaign, part)
    if not any(step.at in case.campaign.finishing_firms for step in case.campaign.parts[part].finishing):
        return [Stay(place, (), (), out) for place, out in route(begin, end)]
    found += [Stay(place, (), (), out) for place, out in route(begin, None)]
    for step, share in zip(case.campaign.parts[part].finishing, into(case, part), strict=True):
        if step.at not in case.campaign.finishing_firms:
            continue
        if found and found[-1].firm == step.at:
            before = found.pop()
            found.append(Stay(step.at, (*before.steps, step), (*before.into, share)))
        else:
            found.append(Stay(step.at, (step,), (share,)))
    return found + [Stay(place, (), (), out) for place, out in route(None, end)]


def journey(case: Case, stay: Stay, second: int) -> tuple[int, int] | None:
    """(leaves, back) of what is there to leave for a firm, or for here from a place or for there, at that second."""
    name = stay.firm
    if name in case.campaign.places:
        return way(case.campaign, name, stay.out, case.start, second)
    firm, shut = case.campaign.finishing_firms[name], set(case.campaign.closed_days)
    clock = time.fromisoformat(firm.time)
    day = first = case.clock.day(second)
    while day < first + LONGEST:
        leaves = case.clock.at(datetime.combine(day, clock))
        if DAYS[day.weekday()] in firm.leaves and day not in shut and leaves >= max(second, case.start):
            done = _done(firm, day + timedelta(days=firm.there_days))
            back = done + timedelta(days=firm.back_days)
            while back in shut:
                back += timedelta(days=1)
            return leaves, max(leaves, case.clock.at(datetime.combine(back, clock)))
        day += timedelta(days=1)
    return None


def _done(firm: FinishingFirm, come: date) -> date:
    day, left = come, firm.lead_days
    while left > 0 and day < come + LONGEST:
        day += timedelta(days=1)
        if DAYS[day.weekday()] in firm.works and day not in firm.closed_days:
            left -= 1
    return day


def back(case: Case, going: Sequence[Stay], second: int) -> int | None:
    """When a lot that is complete at that second is back from all of its stays and rested."""
    for stay in going:
        there_and_back = journey(case, stay, second)
        if there_and_back is None:
            return None
        second = there_and_back[1] + rested(stay)
    return second


def rested(stay: Stay) -> int:
    """Seconds that parts rest after a stay."""
    return whole_up(exact(stay.steps[-1].rest_hours) * 3600) if stay.steps else 0


def lot_size(case: Case, going: Sequence[Stay], total: int) -> int:
    """Good parts of an item that go together, of so many that travel."""
    place = case.campaign.places.get(going[0].firm)
    return (going[0].steps[0].lot_parts if place is None else place.lot_parts) or max(1, total)


def transfer_lots(case: Case, item: Item) -> list[Batch]:
    """The lots of an item that travels, each with when it is complete by the plan's runs."""
    need, apart = case.needs[item], moulded_apart(case, item)
    if not apart:
        return _lots(case, item, need.moulded, need.to_mould)
    found = _lots(case, item, need.moulded, 0)
    for tool in apart:
        found += _lots(case, item, 0, counts_with(case, item)[tool], tool)
    return found


def _lots(case: Case, item: Item, moulded: int, made: int, tool: str | None = None) -> list[Batch]:
    """Lots of so many parts in hand, and so many made, by all tools or one."""
    going = stays(case, item, tool)
    if not going:
        return []
    total = moulded + made
    size = lot_size(case, going, total)
    rest, found = case.rest_seconds[item[0]], []
    for begun in range(0, total, size):
        upto = min(total, begun + size)
        beyond = upto - moulded
        complete: int | None = case.start
        if beyond > 0:
            done = _made(case, item, beyond, tool)
            complete = None if done is None else done + rest
        found.append(Batch(upto - begun, upto, complete, tuple(going), tool))
    return found


def _made(case: Case, item: Item, good: int, tool: str | None) -> int | None:
    """The first second at which so many good parts of the item, or of what one tool makes of it, are counted on."""

    def counted(second: int) -> int:
        return counted_on(case, item, second) if tool is None else counted_with(case, item, tool, second)

    low, high = case.start, max((work.end for work in case.by_item.get(item, [])), default=case.start)
    if counted(high) < good:
        return None
    while high - low > 1:
        middle = (low + high) // 2
        if counted(middle) >= good:
            high = middle
        else:
            low = middle
    return high


def there(case: Case, item: Item, second: int) -> int:
    """Good parts of an item that may be taken at a second: in stock, and moulded, rested and back."""
    need = case.needs.get(item)
    if need is None:
        return counted_on(case, item, second - case.rest_seconds[item[0]])
    finished = need.stock - need.moulded
    if moulded_apart(case, item):
        come = sum(lot.good for lot, comes in returns(case, item) if comes is not None and comes <= second)
        here = [tool for tool in moulded_apart(case, item) if not stays(case, item, tool)]
        moulded = sum(counted_with(case, item, tool, second - case.rest_seconds[item[0]]) for tool in here)
        return finished + (need.moulded if not stays(case, item) else 0) + come + moulded
    if not stays(case, item):
        return need.stock + counted_on(case, item, second - case.rest_seconds[item[0]])
    returned = 0
    for lot, comes in returns(case, item):
        if comes is None or comes > second:
            break
        returned = lot.upto
    return finished + returned


def returns(case: Case, item: Item) -> list[tuple[Batch, int | None]]:
    """The lots of an item, each with when it is back."""
    known: list[tuple[Batch, int | None]] | None = case.returns.get(item)
    if known is None:
        known = [
            (lot, None if lot.complete is None else back(case, lot.going, lot.complete))
            for lot in transfer_lots(case, item)
        ]
        case.returns[item] = known
    return known


def worked_on(case: Case, job: Assembly) -> dict[str, FinishingJob]:
    """Bench -> its work in the plan on the parts of an assembly job."""
    if not case.bench_jobs:
        for one in case.plan.finishing:
            case.bench_jobs[one.assembly][one.bench] = one
    return case.bench_jobs.get(job.id, {})


def taken_at(case: Case, job: Assembly, item: Item) -> int:
    """When an assembly job takes an item: at its start, or that of the first bench that works on those parts."""
    bench = item_taken_by(case, job, item)
    return case.clock.second(job.start if bench is None else worked_on(case, job)[bench].start)


def item_taken_by(case: Case, job: Assembly, item: Item) -> str | None:
    """The first bench that works on an item for an assembly job, or puts it together with others; None: assembly."""
    if not case.plan.finishing:  # asked for each of thousands of takings
        return None
    for bench, one in _in_order(case, job):
        if any((part.part, tuple(part.colours)) == item for part in one.parts):
            steps = case.campaign.parts[item[0]].finishing
            if any(step.at == bench for step in steps):
                return bench
        if any(item[0] in sub.parts for _, sub, _ in put_there(case, job, one)):
            return bench
    return None


def piece_taken_at(case: Case, job: Assembly, piece: str) -> tuple[int, str]:
    """When an assembly job takes a bought-in piece, and who does."""
    bench = piece_taken_by(case, job, piece)
    one = job if bench is None else worked_on(case, job)[bench]
    return case.clock.second(one.start), one.id


def piece_taken_by(case: Case, job: Assembly, piece: str) -> str | None:
    """The bench that puts a bought-in piece into a sub-assembly first; None: assembly."""
    for bench, one in _in_order(case, job):
        if any(piece in sub.pieces for _, sub, _ in put_there(case, job, one)):
            return bench
    return None


def put_there(case: Case, job: Assembly, one: FinishingJob) -> list[tuple[str, SubAssembly, int]]:
    """(name, sub-assembly, units) of what a bench is said to put together for an assembly job."""
    product = case.campaign.products.get(job.product)
    known = product.sub_assemblies if product else {}
    return [(put.what, known[put.what], put.units) for put in one.puts if put.what in known]


def _in_order(case: Case, job: Assembly) -> Iterator[tuple[str, FinishingJob]]:
    mine = worked_on(case, job)
    for bench in case.campaign.finishing_benches:
        if bench in mine:
            yield bench, mine[bench]


def asked(case: Case) -> dict[tuple[str, str], dict[Item, int]]:
    """(bench, assembly job) -> good parts of each item that the bench works on for it.

    Finished parts in stock, beside those in units in hand, are left out of it here.
    """
    found: dict[tuple[str, str], dict[Item, int]] = defaultdict(dict)
    for job in case.plan.assembly:
        product = case.campaign.products.get(job.product)
        if product is None or job.colourway not in product.colourways:
            continue
        for item, each in case.items_in(job.product, job.colourway).items():
            for step in case.campaign.parts[item[0]].finishing:
                if step.at in case.campaign.finishing_benches:
                    found[step.at, job.id][item] = each * (job.units - job.from_hand)
    return found


def finished_in_hand(case: Case) -> Counter[Item]:
    """Finished parts in stock that are not in units in hand."""
    found: Counter[Item] = Counter({item: need.stock - need.moulded for item, need in case.needs.items()})
    for job in case.plan.assembly:
        product = case.campaign.products.get(job.product)
        if product is not None and job.colourway in product.colourways:
            for item, each in case.items_in(job.product, job.colourway).items():
                found[item] -= each * job.from_hand
    return +found
