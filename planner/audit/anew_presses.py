"""When each run of a scenario is moulded, and what the presses cost (A13): the rules of section R, walked through anew.

Everything begins as early as it can; of presses that compete, whichever can begin first goes first, of equals the one
that comes first by its id. Moments are UTC seconds.
"""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from fractions import Fraction
from typing import NamedTuple

from planner.audit import masses, resin_heat
from planner.audit.a05_changeovers import same_pigment
from planner.audit.anew_bills import Bill
from planner.audit.anew_dryers import Dryers
from planner.audit.anew_goods import NEVER, Coming
from planner.audit.anew_made import CannotBeDone, Lot, Part, Worked
from planner.audit.anew_others import Sharing
from planner.audit.anew_purges import CannotTell, Purges
from planner.audit.anew_scenario import Scenario
from planner.audit.anew_waits import Waiting, Waits
from planner.audit.arrivals import drying_seconds
from planner.audit.bases import base_of
from planner.audit.case import Case, Work, closing_of
from planner.audit.charges import ChangeoverDone, energy_rate
from planner.audit.figures import exact, seconds_of, whole_up
from planner.audit.masses import Material
from planner.audit.others import NOBODY_KNOWS
from planner.audit.places import setters_of, who_stay
from planner.audit.trial_stock import in_stock
from planner.campaign.materials import Bought

FINENESS = 1000
"""In a scenario a shot's time is rounded to this share of the unit it is counted in."""


class Closing(NamedTuple):
    """What clears a run's melt at a closing. left: what barrels hold then; kg: by material; opening: (kg by barrel,
    seconds) of purging it out again."""

    seconds: int
    left: dict[int, str]
    kg: dict[Material, float]
    opening: tuple[list[float], int]


class Known(NamedTuple):
    """What has shown itself by a moment. runs: (press, tool, melts) that have begun; tools: mounted;
    presses: set up."""

    runs: frozenset[tuple[str, str, tuple[str, ...]]]
    tools: frozenset[str]
    presses: frozenset[str]


class World(NamedTuple):
    """What is there when. ready: tool -> moment; supply: material -> (moment, kg in all) in order; scenario: its
    shares, None: as planned; known: what of these counts, the rest being as planned; None: all; coming: how goods come
    that go into moulds."""

    ready: dict[str, int]
    supply: dict[Material, list[tuple[int, float]]]
    scenario: Scenario | None
    known: Known | None = None
    coming: Coming | None = None

    def rate(self, work: Work) -> float | None:
        """Real time of a shot over planned; None: no shot's may differ."""
        if self.scenario is None or not self.scenario.rated:
            return None
        if self.known is not None and (work.run.press, work.run.tool, tuple(work.run.melts)) not in self.known.runs:
            return 1.0
        return self.scenario.cycle.get(work.run.tool, 1.0) / self.scenario.press.get(work.run.press, 1.0)

    def mounting(self, tool: str) -> float:
        """Real time of mounting a tool over planned."""
        there = self.known is None or tool in self.known.tools
        return self.scenario.mount.get(tool, 1.0) if self.scenario is not None and there else 1.0

    def purging(self, press: str) -> float:
        """Real time of purges over planned."""
        there = self.known is None or press in self.known.presses
        return self.scenario.purge.get(press, 1.0) if self.scenario is not None and there else 1.0


class _Change(NamedTuple):
    """needed: whether any; seconds without warm-up; kg of new melt by barrel; kg of compound; waits: until that is
    there; done: what is charged for."""

    needed: bool
    seconds: int
    kg: list[float]
    compound: float
    waits: int
    done: ChangeoverDone


class _Press:
    """What a press holds."""

    def __init__(
        self, name: str, lots: list[Lot], tool: str | None, melts: dict[int, str], start: int, bill: Bill
    ) -> None:
        self.name, self.lots, self.tool, self.melts = name, list(lots), tool, melts
        self.done, self.free, self.warm = 0, start, -1
        self.left = 0  # shots of the lot that others broke off
        self.since, self.stretch = -1, 0  # the last stretch before which others worked; that it was at work in
        self.bill = bill
        self.start: tuple[int, int, _Change] | None = None  # moment, opening, what is changed; None: look again


class Presses:
    """The presses of one case, to be walked through in many scenarios."""

    def __init__(self, case: Case) -> None:
        self.case, self.purges = case, Purges(case)
        campaign = case.campaign
        self.openings = {p: [(m.start, m.end) for m in case.manned[p]] for p in campaign.presses}
        self.hands = {p: [m.hands for m in case.manned[p]] for p in campaign.presses}
        self._ends = {p: [end for _, end in found] for p, found in self.openings.items()}
        resins = sorted({resin for work in case.works for resin, _ in work.melts})
        self.dryers = Dryers(case, self.openings, resins)
        self.compound = masses.compound_of(campaign)
        self.waits = Waits(case)
        self.sharing = {
            name: Sharing(case, name, self.openings[name]) for name, press in campaign.presses.items() if press.others
        }
        self._closings: dict[tuple[str, str, tuple[str, ...]], Closing | None] = {}

    def walked(self, rows: dict[str, list[Lot]], world: World, begins: dict[int, int] | None) -> Worked:
        """Work off the lots. begins: where presses take what is ready, when each should have begun; None: they keep
        their order."""
        return _Walk(self, rows, world, begins).done()

    def closing(self, work: Work) -> Closing | None:
        """What a run's closings take; None: its melt may stand."""
        key = (work.run.press, work.run.tool, tuple(work.run.melts))
        if key not in self._closings:
            self._closings[key] = self._closing(work)
        return self._closings[key]

    def _closing(self, work: Work) -> Closing | None:
        campaign = self.case.campaign
        if not any(resin_heat.must_go(campaign, resin) for resin, _ in work.melts):
            return None
        told = work.run.stretches[0].closing
        if told is None:
            raise CannotTell  # A5 says so
        kg: dict[Material, float] = defaultdict(float)
        left = {one.barrel: one.to for one in told.cleared}
        again, seconds = [0.0] * work.barrels, 0
        for one in told.cleared:
            resin, _, colour = one.to.rpartition("/")
            for material, share in masses.made_of(campaign, (resin, colour)).items():
                kg[material] += share * one.kg
            way = self.purges.of(work, one.where, one.barrel, one.to, work.run.melts[one.barrel - 1]).alone
            again[one.barrel - 1] += way.melt
            seconds += way.seconds
        return Closing(closing_of(work.run.stretches[0]), left, dict(kg), (again, seconds))

    def opening_at(self, press: str, moment: int) -> int:
        """The first opening that ends after a moment, by its place."""
        return bisect_right(self._ends[press], moment)

    def until(self, work: Work, k: int) -> int:
        """Until when a run is worked on in an opening: while somebody is there, where people stay with it or its melt
        must be cleared."""
        closing, press = self.closing(work), work.run.press
        stays = work.tool.operators or (closing is not None and closing.seconds)
        return self.hands[press][k] if stays else self.openings[press][k][1]

    def before_others(self, work: Work, shots: int, shot: Fraction, begins: tuple[int, int], afresh: bool) -> int:
        """Of so many shots those that are done before others work on the press; all where hours end first. shot:
        seconds; begins: opening, and moment in it; afresh: with a restart."""
        press, closing, (k, now) = work.run.press, self.closing(work), begins
        openings, since = self.openings[press], self.sharing[press].since
        clears, theirs, done, cleared = closing.seconds if closing else 0, since[k], 0, False
        overhead = seconds_of(work.press.restart_minutes) + whole_up(work.tool.startup_shots * shot)
        while True:
            if afresh:
                while k < len(openings) and since[k] == theirs:
                    ready = max(now, openings[k][0]) + overhead
                    if ready + clears < self.until(work, k) and ready <= self.hands[press][k]:
                        break
                    k += 1
                if k >= len(openings):
                    return shots
                if since[k] != theirs:
                    return min(shots, done * shot.denominator // shot.numerator)
                now = max(now, openings[k][0]) + overhead
            until = self.until(work, k)
            done += max(0, until - clears - now)
            if done >= whole_up(shots * shot):
                return shots
            now = until
            if closing is not None and not cleared:
                overhead, cleared = overhead + closing.opening[1], True
            afresh, k = True, k + 1

    def breaks_off(self, work: Work, end: int) -> bool:
        """Whether a run whose last shot was done then could not have had another one before others took over."""
        k = bisect_left(self._ends[work.run.press], end)
        return self.before_others(work, 1, work.shot, (k, end), False) == 0


def supplies(case: Case, works: list[Work]) -> dict[Material, list[tuple[int, float]]]:
    """Material -> (moment, kg that have come by then in all), as planned: in hand first, what is bought last."""
    found: dict[Material, list[tuple[int, float]]] = {}
    asked: set[Material] = {("resin", name) for name in case.campaign.resins}
    asked |= {("masterbatch", colour) for work in works for _, colour in work.melts}
    compound = masses.compound_of(case.campaign)
    for material in sorted(asked | ({compound} if compound else set())):
        entry: Bought = masses.bought(case.campaign, material)
        dry, have, latest = drying_seconds(entry), in_stock(case, material), case.start
        steps = [(case.start, have)]
        for arrival in sorted(entry.arrivals, key=lambda one: case.clock.at(one.on)):
            have += arrival.amount
            latest = max(case.start, case.clock.at(arrival.on) + dry)
            steps.append((latest, have))
        if entry.lead_days is not None:
            steps.append((max(latest, case.bought_arrives[entry.lead_days] + dry), float("inf")))
        found[material] = steps
    return found


class _Walk:
    """One scenario."""

    def __init__(
        self, shop: Presses, rows: dict[str, list[Lot]], world: World, begins: dict[int, int] | None
    ) -> None:  # fmt: skip
        self.shop, self.case, self.world, self.begins = shop, shop.case, world, begins
        campaign, start = self.case.campaign, self.case.start
        self.presses = []
        for name in sorted(campaign.presses):
            press = campaign.presses[name]
            melts = {}
            for n, barrel in enumerate(press.barrels, start=1):
                if barrel.unknown or not (barrel.clean or barrel.holds):
                    melts[n] = NOBODY_KNOWS
                elif barrel.holds:
                    melts[n] = barrel.holds
            self.presses.append(_Press(name, rows.get(name, []), press.tool, melts, start, Bill(press)))
        self.hot: dict[tuple[str, int], str] = {}
        for name, tool in campaign.tools.items():
            for n in (n for n, kg in enumerate(tool.hot_runner_kg, start=1) if kg > 0):
                if n <= len(tool.hot_runner_holds):
                    self.hot[name, n] = tool.hot_runner_holds[n - 1]
                elif not tool.hot_runner_clean:
                    self.hot[name, n] = NOBODY_KNOWS
        self.base_free: dict[tuple[str, str], int] = {}
        where = {press.place: press for press in campaign.presses.values()}
        self.setters = {place: [start] * setters_of(campaign, press)[0] for place, press in where.items()}
        self.staying = {place: [start] * who_stay(campaign, press)[0] for place, press in where.items()}
        self.used: dict[Material, float] = defaultdict(float)
        self.release: dict[int, int] = {}
        self.worked = Worked()
        self.waiting = Waiting(shop.waits, rows, world.coming, self.worked)
        shop.dryers.begin()

    def done(self) -> Worked:
        """Work off everything."""
        step = 0
        looked: dict[str, int] = {}
        while True:
            left = [press for press in self.presses if press.done < len(press.lots)]
            if not left:
                break
            may = [press for press in left if not self.waiting.held_back(press.lots[press.done], press.left > 0)]
            if not may:
                self._take_unheld(left)
                continue
            for press in may:
                if press.start is None:
                    self._look(press)
                    looked[press.name] = step
            first = min(may, key=lambda press: press.start[0])  # type: ignore[index]
            if looked[first.name] != step:
                first.start = None  # others have gone since: it may be later now
                continue
            self._work(first)
            step += 1
        for press in self.presses:
            press.bill.close()
            self.worked.money += press.bill.money
        self._leftovers()
        self.worked.order = {press.name: press.lots for press in self.presses}
        return self.worked

    def _look(self, press: _Press) -> None:
        if self.begins is not None:
            self._take_ready(press, self.begins)
        press.start = self._start(press, press.lots[press.done])

    def _take_ready(self, press: _Press, begins: dict[int, int]) -> None:
        """Where the tool of the next lot is late, take the first whose tool is there, or wait for what comes first.
        What has to wait for lots that have no place is not taken."""
        n, lots, ready = press.done, press.lots, self.world.ready
        if lots[n].pinned or press.left:
            return
        now = max(press.free, begins[lots[n].number])
        soonest, chosen = ready[lots[n].tool], n
        for m in range(n + 1, len(lots)):
            if soonest <= now:
                break
            if ready[lots[m].tool] < soonest and not self.waiting.held_back(lots[m], False):
                soonest, chosen = ready[lots[m].tool], m
        if chosen != n:
            lot = lots.pop(chosen)
            lots.insert(n, lot)
            self.release[lot.number] = max(self.release.get(lot.number, 0), now)

    def _take_unheld(self, presses: list[_Press]) -> None:
        """Each press's next lot waits for lots without a place: the first press goes on with the first of its later
        lots that does not. What is believed to end so cannot be done."""
        if self.world.known is not None:
            raise CannotBeDone
        for press in presses:
            for m in range(press.done + 1, len(press.lots)):
                if not press.left and not self.waiting.held_back(press.lots[m], False):
                    press.lots.insert(press.done, press.lots.pop(m))
                    press.start = None
                    return
        raise CannotTell

    def _shot(self, work: Work) -> Fraction:
        rate = self.world.rate(work)
        if rate is None:
            return work.shot
        return Fraction(round(float(work.shot.numerator) * FINENESS * rate), work.shot.denominator * FINENESS)

    def _startup(self, work: Work) -> int:
        return whole_up(work.tool.startup_shots * self._shot(work))

    def _paced(self, seconds: int, share: float) -> int:
        return round(seconds * share) if seconds > 0 else 0

    def _change(self, press: _Press, lot: Lot, free: int, mounted: str | None, melts: dict[int, str]) -> _Change:
        work, purges = lot.work, self.shop.purges
        pace = self.world.purging(press.name)
        mounts, seconds = mounted != lot.tool, 0
        if mounts:
            minutes = work.tool.mount_minutes
            base = work.tool.base if work.tool.insert_minutes is not None and mounted is not None else None
            if base is not None and self.case.campaign.tools[mounted or ""].base == base:
                minutes = work.tool.insert_minutes or 0.0
            seconds += round(seconds_of(minutes) * self.world.mounting(lot.tool))
        kg, compound, waits, purged = [0.0] * work.barrels, 0.0, 0, False
        for n, melt in enumerate(work.run.melts, start=1):
            for where, held in (("barrel", melts.get(n)), ("hot runner", self.hot.get((lot.tool, n)))):
                if held is None or same_pigment(self.case, held, melt):
                    continue
                purged = True
                purging = purges.of(work, where, n, held, melt)
                way = purging.alone
                if purging.preferred is not None and purging.preferred.compound > 0:
                    assert self.shop.compound is not None
                    there = self._there(self.shop.compound, compound + purging.preferred.compound)
                    if purging.only and there is None:
                        raise CannotBeDone
                    if there is not None and (there <= free or purging.only):
                        way, waits = purging.preferred, max(waits, there)
                seconds += self._paced(way.seconds, pace)
                kg[n - 1] += way.melt
                compound += way.compound
        if mounts or purged:
            seconds += self._startup(work)
        return _Change(mounts or purged, seconds, kg, compound, waits, ChangeoverDone(purged, mounts))

    def _there(self, material: Material, kg: float) -> int | None:
        """When so much of a material has come beyond what is used."""
        wanted = self.used[material] + kg - 1e-9
        return next((at for at, have in self.world.supply[material] if have >= wanted), None)

    def _start(self, press: _Press, lot: Lot) -> tuple[int, int, _Change]:
        """When it can begin, in which opening, and what is changed over."""
        openings, sharing = self.shop.openings[press.name], self.shop.sharing.get(press.name)
        if sharing is None:
            found = self._within(press, lot, (0, len(openings)), press.tool, press.melts)
        else:
            found, k = None, press.stretch
            base = base_of(self.case.campaign, lot.tool)
            earliest = max(press.free, self.world.ready[lot.tool], self.base_free.get(base, 0))
            while found is None and k < len(openings):
                until, ours = sharing.until(k), sharing.since[k] == press.since
                if openings[until - 1][1] > earliest:
                    mounted, melts = (press.tool, press.melts) if ours else (None, sharing.left(k))
                    found = self._within(press, lot, (k, until), mounted, melts)
                k = until
        if found is None:
            raise CannotTell  # hours are laid out no further
        return found

    def _within(
        self, press: _Press, lot: Lot, span: tuple[int, int], mounted: str | None, melts: dict[int, str]
    ) -> tuple[int, int, _Change] | None:
        """The same within some openings, where the press holds that; None: in none of them."""
        work, shop = lot.work, self.shop
        tool = self.case.campaign.tools[lot.tool]
        base = base_of(self.case.campaign, lot.tool)
        free = max(press.free, self.world.ready[lot.tool], self.base_free.get(base, 0))
        change = self._change(press, lot, free, mounted, melts)
        closing, shots = shop.closing(work), press.left or lot.shots
        earliest = max(free, change.waits, lot.release, self.release.get(lot.number, 0))
        extra = tool.startup_shots if change.needed else 0
        own = [
            float((shots + extra) * grams / 1000) + purge for grams, purge in zip(work.shot_g, change.kg, strict=True)
        ]
        wanted = masses.of_materials(self.case.campaign, work, own)
        for material, amount in (closing.kg if closing else {}).items():
            wanted[material] = wanted.get(material, 0.0) + amount
        for material, amount in wanted.items():
            there = self._there(material, amount)
            if there is None:
                raise CannotBeDone
            earliest = max(earliest, there)
        again = closing.opening[0] if closing else [0.0] * work.barrels
        kg = change.kg if change.needed else [0.0] * work.barrels
        ready = shop.dryers.ready(shop.dryers.drawn(work, shots, kg, again, (0, 0, 0)), earliest)
        if ready is None:
            raise CannotBeDone
        earliest = max(ready, min(self.setters[work.press.place])) if change.needed else ready
        if tool.operators:
            earliest = max(earliest, sorted(self.staying[work.press.place])[tool.operators - 1])
        earliest = max(earliest, self.waiting.moment(lot, press.left > 0))
        if earliest >= NEVER:
            raise CannotBeDone
        clears = closing.seconds if closing else 0
        warm_up, restart = seconds_of(work.press.restart_minutes), self._startup(work)
        openings = shop.openings[press.name]
        for k in range(max(span[0], shop.opening_at(press.name, earliest)), span[1]):
            opens = openings[k][0]
            begin = max(earliest, opens)
            cold, there, end = press.warm != k, shop.hands[press.name][k], shop.until(work, k)
            ready = begin
            if change.needed:
                ready = begin + cold * warm_up + change.seconds
                fits = ready + (clears + 1 if clears else 0) <= there and begin < end
            else:
                ready = begin + cold * (warm_up + restart)
                fits = ready + clears < end and (not cold or ready <= there)
                ready = begin  # a restart that is needed is counted with what follows
            if fits and press.name in shop.sharing:
                afresh = (not change.needed and cold) or ready + clears >= end
                fits = shop.before_others(work, shots, self._shot(work), (k, ready), afresh) > 0
            if fits:
                return begin, k, change
        return None

    def _work(self, press: _Press) -> None:
        assert press.start is not None
        begin, k, change = press.start
        lot = press.lots[press.done]
        work, campaign, floor = lot.work, self.case.campaign, self.case.campaign.floor
        rate = (work.press.rate_per_hour + energy_rate(self.case, work)) / 3600
        closing = self.shop.closing(work)
        now, waste = begin, [0.0] * work.barrels
        sharing = self.shop.sharing.get(press.name)
        if sharing is not None and sharing.since[k] != press.since:
            press.since, press.tool, press.melts = sharing.since[k], None, sharing.left(k)
        if change.needed:
            seconds = change.seconds + (seconds_of(work.press.restart_minutes) if press.warm != k else 0)
            press.warm = k
            now += seconds
            setters = self.setters[work.press.place]
            setters[setters.index(min(setters))] = now
            self.worked.money += seconds * (rate + setters_of(campaign, work.press)[1] / 3600)
            press.bill.changed(change.done, seconds * rate)
            press.bill.in_shifts(self._opens(press, k), begin, now)
            for n, grams in enumerate(work.shot_g):
                waste[n] += change.kg[n] + float(work.tool.startup_shots * grams / 1000)
            if change.compound:
                assert self.shop.compound is not None
                self.used[self.shop.compound] += change.compound
                price = masses.bought(campaign, self.shop.compound).price_per_kg
                self.worked.money += change.compound * (price + floor.disposal_per_kg)
        asked = shots = press.left or lot.shots
        if sharing is not None:
            afresh = press.warm != k or now + (closing.seconds if closing else 0) >= self.shop.until(work, k)
            shots = self.shop.before_others(work, asked, self._shot(work), (k, now), afresh)
        if not press.left:
            self.waiting.begins(lot)
        press.left = asked - shots
        pieces, end = self._mould(press, lot, shots, now, k, waste)
        if work.tool.operators:
            staying = self.staying[work.press.place]
            staying.sort()
            staying[: work.tool.operators] = [end] * work.tool.operators
        press.bill.moulded(work.tool, shots)
        self.worked.add(begin, Part(lot, shots, self._shot(work), pieces, end))
        for n, (melt, grams) in enumerate(zip(work.melts, work.shot_g, strict=True)):
            self.worked.money += waste[n] * (masses.price_of(campaign, melt) + floor.disposal_per_kg)
            kg = waste[n] + float(shots * grams / 1000)
            for material, share in masses.made_of(campaign, melt).items():
                self.used[material] += share * kg
        again = closing.opening[0] if closing else [0.0] * work.barrels
        purged = change.kg if change.needed else [0.0] * work.barrels
        drawn = self.shop.dryers.drawn(work, shots, purged, again, (begin, now, end))
        self.worked.money += (
            self.shop.dryers.cleanings(drawn) * self.shop.dryers.cleaning / 3600 * floor.setter_rate_per_hour
        )
        self.shop.dryers.draws += drawn
        self._leave(press, lot, end, closing, change)

    def _mould(
        self, press: _Press, lot: Lot, shots: int, now: int, k: int, waste: list[float]
    ) -> tuple[list[tuple[int, int]], int]:
        """Production, stretch by stretch; when the press is free."""
        work, floor, closing = lot.work, self.case.campaign.floor, self.shop.closing(lot.work)
        rate = (work.press.rate_per_hour + energy_rate(self.case, work)) / 3600
        warm_up, restart = seconds_of(work.press.restart_minutes), self._startup(work)
        clears = closing.seconds if closing else 0
        stay = work.tool.operators * who_stay(self.case.campaign, work.press)[1] / 3600
        left = whole_up(shots * self._shot(work))
        pieces: list[tuple[int, int]] = []
        openings = self.shop.openings[press.name]
        while left > 0:
            if k >= len(openings):
                raise CannotTell
            opens, closes = openings[k]
            there = self.shop.hands[press.name][k]
            closes, begin = there if clears or work.tool.operators else closes, max(now, opens)
            opened = begin
            if press.warm != k:
                back = closing.opening[1] if pieces and closing else 0
                begins = begin + warm_up + restart + back
                if begins + clears >= closes or begins > there:
                    k += 1
                    continue
                self.worked.money += (warm_up + restart + back) * rate
                for n, grams in enumerate(work.shot_g):
                    waste[n] += float(work.tool.startup_shots * grams / 1000)
                    waste[n] += closing.opening[0][n] if pieces and closing else 0.0
                press.warm = k
                begin += warm_up + restart + back
            elif begin + clears >= closes:
                k += 1
                continue
            seconds = min(left, closes - clears - begin)
            pieces.append((begin, seconds))
            left -= seconds
            now = begin + seconds + clears
            self.worked.money += (seconds + clears) * rate + seconds * stay
            press.bill.worked(self._opens(press, k), opened, now, (now - opened) * rate + seconds * stay)
            for material, kg in (closing.kg if closing else {}).items():
                self.used[material] += kg
                price = masses.bought(self.case.campaign, material).price_per_kg
                self.worked.money += kg * (price + floor.disposal_per_kg)
            press.stretch = k
            k += 1
        return pieces, now

    def _opens(self, press: _Press, k: int) -> int:
        """When the stretch opens, from the campaign's start on."""
        return max(self.shop.openings[press.name][k][0], self.case.start)

    def _leave(self, press: _Press, lot: Lot, end: int, closing: Closing | None, change: _Change) -> None:
        """What is where when a run is over, and who has to look again."""
        campaign = self.case.campaign
        base = base_of(campaign, lot.tool)
        for other in self.presses:
            if other is press:
                continue
            if other.tool is not None and base_of(campaign, other.tool) == base:
                other.tool, other.start = None, None
            if other.done < len(other.lots) and base_of(campaign, other.lots[other.done].tool) == base:
                other.start = None
            if change.compound:
                other.start = None
        press.tool, press.free, press.start = lot.tool, end, None
        if not press.left:
            press.done += 1
            if self.waiting.ended(lot, end):
                for other in self.presses:
                    other.start = None
        self.base_free[base] = end
        left = closing.left if closing else {}
        for n, melt in enumerate(lot.work.run.melts, start=1):
            press.melts[n] = left.get(n, melt)
            if lot.work.hot_kg[n - 1]:
                self.hot[lot.tool, n] = left.get(n, melt)

    def _leftovers(self) -> None:
        """What whole bags and smallest orders leave over."""
        kept = {(line.kind, line.id): line.regrind_kg for line in self.case.plan.materials}
        for material, used in self.used.items():
            entry = masses.bought(self.case.campaign, material)
            short = used - in_stock(self.case, material) - sum(arrival.amount for arrival in entry.arrivals)
            if short <= 1e-6:
                continue
            if entry.lead_days is None:
                raise CannotBeDone
            bag = float(exact(entry.bag_kg))
            bought = whole_up(Fraction(max(short, entry.min_order_kg) - 1e-6) / exact(entry.bag_kg)) * bag
            self.worked.money += entry.price_per_kg * min(bought, bought - short + kept.get(material, 0.0))
