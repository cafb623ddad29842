"""Work on parts between press and assembly: who works on which, in which lots they travel, and what it costs."""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import groupby
from math import ceil

from planner.calendars.clock import Clock
from planner.calendars.firms import hauls, hauls_there, journeys
from planner.campaign import Campaign
from planner.campaign.finishing import FinishingFirm, FinishingStep, goes_in
from planner.campaign.places import Place
from planner.campaign.products import SubAssembly
from planner.campaign.whereabouts import goes_to, made_at, made_away, moulded_at
from planner.demand.in_hand import taken_from_hand
from planner.demand.items import Item, ItemDemand, RunDemand, in_hand, parts_of_unit

Job = tuple[int, str, str, int]
"""(batch, product, colourway, units) of an assembly job."""


@dataclass(frozen=True)
class Visit:
    """Steps of a part at one firm, one after the other; or its way here from another place, or there, with none.

    first: the place of its first step among all of the part. out: from our floor to the place.
    """

    firm: str
    first: int
    steps: tuple[FinishingStep, ...]
    out: bool = False

    @property
    def rest_s(self) -> int:
        """Seconds the part rests once it is back."""
        return _seconds(self.steps[-1].rest_hours) if self.steps else 0


@dataclass(frozen=True)
class Leg:
    """One visit of a lot. leaves, back: seconds since the start."""

    visit: Visit
    leaves: int
    back: int


@dataclass(frozen=True)
class Worked:
    """What a bench does to one item of an assembly job. good: parts that must be good after all of the part's steps."""

    item: Item
    steps: tuple[FinishingStep, ...]
    first: int
    good: int


@dataclass(frozen=True)
class Put:
    """A sub-assembly that a bench puts together for an assembly job. units: those for which it is not in hand."""

    name: str
    made: SubAssembly
    units: int


def visits(campaign: Campaign, part: str, tools: Collection[str] | None = None) -> list[Visit]:
    """Where a part travels, in order: here from the place where it is moulded, then to firms, then to the place that
    takes it; steps at one firm that follow each other are one visit. tools: what these mould; by default all of it, or
    where some of it is moulded at the place that takes it, the rest."""
    place = end = None
    if campaign.places:
        place = made_at(campaign, part, made_away(campaign, part) if tools is None else tools)
        end = goes_to(campaign, part)
    steps = list(enumerate(campaign.parts[part].finishing))
    if not any(step.at in campaign.finishing_firms for _, step in steps):
        return ways_between(place, end)
    found = ways_between(place, None)
    for firm, together in groupby(steps, key=lambda one: one[1].at):
        some = list(together)
        if firm in campaign.finishing_firms:
            found.append(Visit(firm, some[0][0], tuple(step for _, step in some)))
    last = next(n for n, step in reversed(steps) if step.at in campaign.finishing_firms)
    return [*found, *ways_between(None, end, last + 1)]


def ways_between(begin: str | None, end: str | None, step: int = 0) -> list[Visit]:
    """The ways from one place to another, by way of our floor, which is None. step: of a part, that it has next."""
    if begin == end:
        return []
    here = [Visit(begin, step, ())] if begin is not None else []
    return here + ([Visit(end, step, (), out=True)] if end is not None else [])


def transfer_lot_parts(campaign: Campaign, going: Sequence[Visit]) -> int:
    """Good parts that make these visits together; 0: none travel, or all of them together."""
    if not going:
        return 0
    said = going[0].steps[0].lot_parts if going[0].steps else campaign.places[going[0].firm].lot_parts
    return said or 0


class Journeys:
    """When parts that are there to travel at a moment are back."""

    def __init__(self, campaign: Campaign, clock: Clock, days: int) -> None:
        self._campaign = campaign
        shut = campaign.closed_days
        self._of = {(name, False): journeys(firm, shut, clock, days) for name, firm in campaign.finishing_firms.items()}
        for name, place in campaign.places.items():
            self._of[name, False] = hauls(place, shut, clock, days)
            self._of[name, True] = hauls_there(place, shut, clock, days)

    def along(self, going: Sequence[Visit], moment: int) -> list[Leg] | None:
        """Visits, one after the other, of what is there to leave at a moment; None where no more are laid out."""
        found = []
        for visit in going:
            way = next((one for one in self._of[visit.firm, visit.out] if one[0] >= moment), None)
            if way is None:
                return None
            found.append(Leg(visit, *way))
            moment = way[1] + visit.rest_s
        return found

    def all_along(self, going: Sequence[Visit]) -> list[tuple[int, int]]:
        """(last moment to be there, back and rested) of each journey with visits one after the other; none where it
        goes nowhere."""
        found = []
        for leaves, _ in self._of[going[0].firm, going[0].out] if going else []:
            legs = self.along(going, leaves)
            if legs is None:
                break
            found.append((leaves, legs[-1].back + legs[-1].visit.rest_s))
        return found


class BenchWork:
    """What the benches between press and assembly do for each assembly job.

    Parts in stock that are finished, and sub-assemblies in hand, go to the first jobs listed, as units in hand do.
    """

    def __init__(self, campaign: Campaign, jobs: Sequence[Job]) -> None:
        self._campaign = campaign
        self.benches = list(campaign.finishing_benches)
        self.of: dict[tuple[int, int], list[Worked]] = defaultdict(list)
        """(bench, job) -> what it does to parts there."""
        self.put: dict[tuple[int, int], list[Put]] = defaultdict(list)
        """(bench, job) -> what it puts together there."""
        if self.benches:
            self._share(jobs)
            self._put_together(jobs)

    @property
    def jobs(self) -> list[tuple[int, int]]:
        """(bench, job) of all that benches do."""
        return sorted({*self.of, *self.put})

    def _share(self, jobs: Sequence[Job]) -> None:
        campaign, hand = self._campaign, taken_from_hand(self._campaign, jobs)
        done: Counter[Item] = Counter()
        for (_, product, colourway, _), units in zip(jobs, hand, strict=True):
            for item, each in parts_of_unit(campaign, product, colourway).items():
                done[item] -= each * units
        for item in list(done):
            done[item] = max(0, done[item] + in_hand(campaign, item)[0])
        for n, ((_, product, colourway, units), assembled) in enumerate(zip(jobs, hand, strict=True)):
            for item, each in sorted(parts_of_unit(campaign, product, colourway).items()):
                parts = each * (units - assembled)
                ready = min(parts, done[item])
                done[item] -= ready
                if parts > ready:
                    self._add(n, item, parts - ready)

    def _put_together(self, jobs: Sequence[Job]) -> None:
        products = self._campaign.products
        left = Counter(
            {
                (product, name, colourway): units
                for product, made in products.items()
                for name, sub in made.sub_assemblies.items()
                for colourway, units in sub.in_hand.items()
            }
        )
        hand = taken_from_hand(self._campaign, jobs)
        for n, ((_, product, colourway, units), assembled) in enumerate(zip(jobs, hand, strict=True)):
            for name, sub in products[product].sub_assemblies.items():
                there = min(units - assembled, left[product, name, colourway])
                left[product, name, colourway] -= there
                if units - assembled > there:
                    bench = self.benches.index(sub.at)
                    self.put[bench, n].append(Put(name, sub, units - assembled - there))

    def _add(self, job: int, item: Item, good: int) -> None:
        steps = self._campaign.parts[item[0]].finishing
        for bench, name in enumerate(self.benches):
            places = [n for n, step in enumerate(steps) if step.at == name]
            if places:
                some = tuple(steps[n] for n in places)
                self.of[bench, job].append(Worked(item, some, places[0], good))

    def goes_in(self, work: Worked, step: int) -> Fraction:
        """Parts that go into one of the bench's steps, on average."""
        return goes_in(self._campaign.parts[work.item[0]].finishing, work.first + step, work.good)

    def minutes(self, bench: int, job: int) -> Fraction | None:
        """Person-minutes of a bench for a job; None: none of its parts pass there, and nothing is put together."""
        if (bench, job) not in self.of and (bench, job) not in self.put:
            return None
        on_parts = (
            Fraction(repr(step.minutes)) * self.goes_in(work, n)
            for work in self.of.get((bench, job), [])
            for n, step in enumerate(work.steps)
        )
        putting = (Fraction(repr(put.made.minutes)) * put.units for put in self.put.get((bench, job), []))
        return sum((*on_parts, *putting), Fraction(0))

    def seconds(self, bench: int, job: int) -> int:
        """Person-seconds, rounded up; -1: none of its parts pass there."""
        minutes = self.minutes(bench, job)
        return -1 if minutes is None else ceil(minutes * 60)

    def rest_s(self, bench: int, job: int) -> int:
        """Seconds that the parts rest after the bench."""
        hours = [work.steps[-1].rest_hours for work in self.of.get((bench, job), [])]
        hours += [put.made.rest_hours for put in self.put.get((bench, job), [])]
        return max(map(_seconds, hours), default=0)

    def price(self, bench: int, job: int) -> float:
        """Money for what goes into the parts, by the piece."""
        return float(
            sum(
                Fraction(repr(step.price)) * self.goes_in(work, n)
                for work in self.of.get((bench, job), [])
                for n, step in enumerate(work.steps)
            )
        )

    def first(self, part: str, job: int) -> int:
        """The first bench a part of a job passes; as many as there are where it passes none."""
        for bench in range(len(self.benches)):
            if any(work.item[0] == part for work in self.of.get((bench, job), [])):
                return bench
            if any(part in put.made.parts for put in self.put.get((bench, job), [])):
                return bench
        return len(self.benches)

    def first_of_piece(self, piece: str, job: int) -> int:
        """The bench at which a bought-in piece goes into a job; as many as there are: at its assembly."""
        for bench in range(len(self.benches)):
            if any(piece in put.made.pieces for put in self.put.get((bench, job), [])):
                return bench
        return len(self.benches)

    @cached_property
    def rates(self) -> list[float]:
        """Money per person and hour, by bench."""
        return [bench.rate_per_hour for bench in self._campaign.finishing_benches.values()]


@dataclass(frozen=True)
class TransferLot:
    """Parts of an item that travel together. upto: parts of the item, those in hand first, with which it is complete.

    shots: shots of its run demand until then; 0: all in hand. tool: whose parts it is made of, and `upto` and `shots`
    count; None: of all tools that make the item.
    """

    item: Item
    going: tuple[Visit, ...]
    good: int
    upto: int
    shots: int
    tool: str | None = None


def shares_apart(campaign: Campaign, runs: Iterable[RunDemand]) -> dict[Item, dict[str, ItemDemand]]:
    """Items that several tools make at several places, or at another one than that where some are in hand -> tool ->
    what it makes of them (RULES.md, F11.1)."""
    found: dict[Item, dict[str, ItemDemand]] = defaultdict(dict)
    for run in runs if campaign.places else ():
        for share in run.items:
            if share.shared and share.to_mould:
                found[share.item][run.tool] = share
    return {item: shares for item, shares in found.items() if _come_apart(campaign, item, shares)}


def _come_apart(campaign: Campaign, item: Item, tools: Collection[str]) -> bool:
    made, away = moulded_at(campaign, item[0], tools), made_away(campaign, item[0])
    lies = moulded_at(campaign, item[0], away) if away and in_hand(campaign, item)[1] else made
    return len({*made, *lies}) > 1


def tools_of(campaign: Campaign, runs: Iterable[RunDemand]) -> dict[Item, list[str]]:
    """Item -> the tools that mould it, where that says from which place it comes."""
    found: dict[Item, list[str]] = defaultdict(list)
    for run in runs if campaign.places else ():
        for one in run.items:
            if one.to_mould:
                found[one.item].append(run.tool)
    return found


def transfer_lots(campaign: Campaign, items: Iterable[ItemDemand], runs: Sequence[RunDemand]) -> list[TransferLot]:
    """The lots in which parts travel, item by item. runs: who makes them; none: whoever may, and of what is made at
    several places what is in hand alone."""
    found = []
    apart, tools = shares_apart(campaign, runs), tools_of(campaign, runs)
    for demand in items:
        # stock that nobody asks for, beside what a family tool makes, stays where it is
        if not demand.ordered + demand.spares + demand.taken:
            continue
        moulded = in_hand(campaign, demand.item)[1]
        unsaid = not runs and len(moulded_at(campaign, demand.part)) > 1
        if unsaid or demand.item in apart:
            found += _lots(campaign, demand, visits(campaign, demand.part), moulded, 0)
            for tool, share in apart.get(demand.item, {}).items():
                found += _lots(campaign, share, visits(campaign, demand.part, [tool]), 0, share.to_mould, tool)
        else:
            going = visits(campaign, demand.part, tools.get(demand.item))
            found += _lots(campaign, demand, going, moulded, demand.to_mould)
    return found


def _lots(
    campaign: Campaign, demand: ItemDemand, going: list[Visit], moulded: int, made: int, tool: str | None = None
) -> list[TransferLot]:
    """Lots of so many parts in hand, and so many that are made."""
    if not going:
        return []
    total = moulded + made
    size = transfer_lot_parts(campaign, going) or max(1, total)
    found = []
    for begun in range(0, total, size):
        upto = min(total, begun + size)
        beyond = max(0, upto - moulded)
        shots = -(-beyond * demand.counting_shots // demand.to_mould) if beyond else 0
        found.append(TransferLot(demand.item, tuple(going), upto - begun, upto, shots, tool))
    return found


def sent(campaign: Campaign, part: str, visit: Visit, good: int) -> int:
    """Whole parts that go into a visit for so many that are good after all of the part's steps."""
    return ceil(goes_in(campaign.parts[part].finishing, visit.first, good))


def visit_price(campaign: Campaign, part: str, visit: Visit, good: int) -> float:
    """What is paid for a visit of a lot: the firm's work on its parts, and the way."""
    steps = campaign.parts[part].finishing
    money = sum(
        Fraction(repr(step.price)) * ceil(goes_in(steps, visit.first + n, good)) for n, step in enumerate(visit.steps)
    )
    return float(money) + whose(campaign, visit.firm).lot_price


def whose(campaign: Campaign, name: str) -> FinishingFirm | Place:
    """The firm, or the place, that a visit is to."""
    place = campaign.places.get(name)
    return campaign.finishing_firms[name] if place is None else place


def _seconds(hours: float) -> int:
    return ceil(Fraction(repr(hours)) * 3600)
