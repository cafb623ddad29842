"""What keeps a lot of a scenario back beside its press (A13): what goes into its mould (O2), and wishes that the plan
keeps (Y2), read anew. Moments are UTC seconds."""

from collections import Counter

from planner.audit.anew_goods import NEVER, Coming, Good, Goods
from planner.audit.anew_made import Lot, Worked, lots_of
from planner.audit.case import Case, Work, parts_at, pieces_at
from planner.audit.wishes import last_second
from planner.campaign.wishes import Wish, WishedRuns

Demand = tuple[str, tuple[str, ...]]
HOUR = 3600
WISH = 1e7
"""What each thing that breaks a wish weighs where presses plan again; more than any plan of `MOST` money costs."""
MOST = 1e5


class Waits:
    """What lots of one case wait for."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.wishes = kept_wishes(case)
        self.into: Counter[Good] = Counter()
        for work in case.works:
            self.into.update(pieces_at(case.campaign, work))
            self.into.update(parts_at(case.campaign, work))
        self._from: dict[Demand, int] = {}

    def at_all(self) -> bool:
        """Whether any lot may wait for others."""
        return bool(self.into) or any(wish.then is not None for wish in self.wishes)

    def wished_from(self, lot: Lot) -> int:
        """The moment before which a wish lets no run like it begin."""
        if lot.demand not in self._from:
            moments = [wish.not_before for wish in self.wishes if wish.runs and named(wish.runs, lot.work)]
            self._from[lot.demand] = max((self.case.clock.at(one) for one in moments if one is not None), default=0)
        return self._from[lot.demand]


class Waiting:
    """The same while one scenario is worked off. worked: so far."""

    def __init__(self, waits: Waits, rows: dict[str, list[Lot]], coming: Coming | None, worked: Worked) -> None:
        self.waits, self.case, self.coming, self.worked = waits, waits.case, coming, worked
        self.to_come = Counter(lot.demand for row in rows.values() for lot in row)
        self.done_at: dict[Demand, int] = {}
        self.taken: Counter[Good] = Counter()
        self._after: dict[Demand, list[Demand]] = {}
        self._demands = {lot.demand: lot.work for row in rows.values() for lot in row}
        self._goods: tuple[int, Goods] | None = None
        self.nobody = not waits.at_all()

    def held_back(self, lot: Lot, begun: bool) -> bool:
        """Whether it has to wait for lots that have no place yet. begun: what is left of it goes on."""
        if self.nobody:
            return False
        if any(self.to_come[other] for other in self._before(lot)):
            return True
        return not begun and any(
            not isinstance(good, str) and self.case.needs[good].to_mould and moment >= NEVER
            for good, moment in self._into_mould(lot)
        )

    def moment(self, lot: Lot, begun: bool) -> int:
        """Before which it must not begin, lots without a place left out."""
        found = self.waits.wished_from(lot)
        if self.nobody:
            return found
        found = max([found, *(self.done_at.get(other, 0) for other in self._before(lot))])
        if begun:
            return found
        there = [at for good, at in self._into_mould(lot) if at < NEVER or isinstance(good, str)]
        return max([found, *there])

    def begins(self, lot: Lot) -> None:
        """It takes what goes into its mould."""
        for good, number in self._in_a_shot(lot.work).items():
            self.taken[good] += number * lot.shots

    def ended(self, lot: Lot, free: int) -> bool:
        """A lot is done; whether it was the last of its demand."""
        self.to_come[lot.demand] -= 1
        self.done_at[lot.demand] = max(self.done_at.get(lot.demand, 0), free)
        return self.to_come[lot.demand] == 0

    def _before(self, lot: Lot) -> list[Demand]:
        """Demands that a wish puts before it."""
        if lot.demand not in self._after:
            self._after[lot.demand] = [
                demand
                for wish in self.waits.wishes
                if wish.runs is not None and wish.then is not None and named(wish.then, lot.work)
                for demand, work in self._demands.items()
                if demand != lot.demand and named(wish.runs, work)
            ]
        return self._after[lot.demand]

    def _in_a_shot(self, work: Work) -> Counter[Good]:
        campaign, shots = self.case.campaign, work.run.shots
        found: Counter[Good] = Counter()
        for what in (parts_at(campaign, work), pieces_at(campaign, work)):
            found.update({good: number // shots for good, number in what.items()})
        return found

    def _into_mould(self, lot: Lot) -> list[tuple[Good, int]]:
        """When all that its shots take of each good is there, beside what lots that began before take. What shots
        beyond the plan's take is taken to be there."""
        each = self._in_a_shot(lot.work)
        if not each:
            return []
        assert self.coming is not None
        if self._goods is None or self._goods[0] != len(self.worked.parts):
            self._goods = len(self.worked.parts), Goods(self.case, self.worked.parts, self.coming)
        return [
            (good, self._goods[1].met(good, min(self.taken[good] + lot.shots * number, self.waits.into[good])))
            for good, number in each.items()
        ]


def kept_wishes(case: Case) -> list[Wish]:
    """Those that the plan says it keeps."""
    kept = {line.wish for line in case.plan.wishes if line.kept}
    return [wish for n, wish in enumerate(case.campaign.wishes) if n in kept]


def named(wished: WishedRuns, work: Work) -> bool:
    """Whether a wish is about a run."""
    return work.run.tool == wished.tool and (not wished.colours or tuple(wished.colours) == work.colours)


def broken(case: Case, wishes: list[Wish], worked: Worked) -> float:
    """How much of the wishes the work breaks: hours too late and one each time, pairs in the wrong order, and lots that
    stand between or apart."""
    found = 0.0
    for wish in wishes:
        if wish.runs is not None and wish.done_by is not None:
            until = last_second(case, wish.done_by)
            late = [worked.made[lot.number].free - until for lot in lots_of(worked) if named(wish.runs, lot.work)]
            found += sum(1 + seconds / HOUR for seconds in late if seconds > 0)
        elif wish.first_colour is not None:
            for press, row in worked.order.items():
                if wish.press in (None, press):
                    has = [wish.first_colour in lot.work.colours for lot in row]
                    found += sum(not before for n, one in enumerate(has) if one for before in has[:n])
        elif wish.together:
            found += _apart(wish, worked)
    return found


def _apart(wish: Wish, worked: Worked) -> int:
    between = number = most = 0
    for row in worked.order.values():
        places = [n for n, lot in enumerate(row) if any(named(one, lot.work) for one in wish.together)]
        if places:
            between += places[-1] - places[0] + 1 - len(places)
            number += len(places)
            most = max(most, len(places))
    return between + number - most
