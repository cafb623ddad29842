"""What presses do in a scenario where they plan again whenever a tool is late (A13): S4.3 read anew.

At each such moment a press does what costs least by what is known then: it waits, takes one of its own next runs, or
takes over one that another press has not begun. Each is timed to the end in the world as it is believed to be. Moments
are UTC seconds.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from planner.audit.anew_goods import Coming
from planner.audit.anew_made import CannotBeDone, Lot, Worked
from planner.audit.anew_presses import Known, Presses, World
from planner.audit.anew_purges import CannotTell
from planner.audit.case import Case

DECISIONS, OWN_LOTS = 8, 4
BETTER, DOUBT = 1e-6, 2e-7
"""By so much another choice must be better; so near to that two ways of summing up may choose differently."""

Rows = dict[str, list[Lot]]
Value = Callable[[Worked, Coming], float]
"""What the work comes to in money, days of the mean dispatch breaking ties."""


class Arrivals(NamedTuple):
    """Tool -> when it is ready in each scenario that looks alike until something is settled."""

    ready: dict[str, list[int]]

    def comes(self, tool: str, clock: int, planned: int, start: int) -> int:
        """When a tool that is not there at a moment is taken to come: on average of those scenarios in which it is not
        there by then either."""
        later = [at - start for at in self.ready.get(tool, []) if at > clock]
        return start + sum(later) // len(later) if later else max(planned, clock + 1)


@dataclass
class Told:
    """What a scenario is planned again with. world: as it is; planned: as counted on; begins: when lots begin as
    planned; shots: as planned, by lot; planned_coming, coming: of goods; fits: whether a press may mould a lot."""

    world: World
    planned: World
    begins: dict[int, int]
    shots: dict[int, int]
    coming: Coming
    planned_coming: Coming
    arrivals: Arrivals
    fits: Callable[[str, Lot, list[Lot]], Lot | None]
    value: Value


@dataclass
class _Now:
    """Where the scenario stands. fixed: by press, how many lots keep their places; release: by lot."""

    rows: Rows
    fixed: dict[str, int]
    release: dict[int, int] = field(default_factory=dict)


def planned_again(case: Case, shop: Presses, rows: Rows, told: Told) -> Worked:
    """The scenario as it is worked."""
    pinned = {press: sum(lot.pinned for lot in lots) for press, lots in rows.items()}
    now = _Now({press: list(lots) for press, lots in rows.items()}, pinned)
    clock, at = case.start - 1, ""
    for _ in range(DECISIONS):
        worked = shop.walked(_released(now), told.world, None)
        options: list[tuple[str, int]] = []
        while not options:
            found = _next_decision(case, now, told, worked, (clock, at))
            if found is None:
                return worked
            clock, at, place = found
            options = _options(now, told, worked, found)
        believed = _Believed(case, now, told, worked, clock)
        best, chosen = float("inf"), None
        for option in [None, *options]:
            trial = _taken(now.rows, option, at, place, told)
            value = believed.value(shop, trial, at, place)
            if abs(value - (best - BETTER)) < DOUBT:
                raise CannotTell
            if value < best - BETTER:
                best, chosen = value, option
        if chosen is not None:
            now.rows = _taken(now.rows, chosen, at, place, told)
            lot = now.rows[at][place]
            now.release[lot.number] = max(now.release.get(lot.number, lot.release), clock)
    fixed = {press: _begun(worked, lots, now.fixed[press], clock) for press, lots in now.rows.items()}
    begins = {number: max(moment, clock) for number, moment in told.begins.items()}
    return shop.walked(_pinned(_released(now), fixed), told.world, begins)


def _released(now: _Now) -> Rows:
    return {
        press: [replace(lot, release=max(lot.release, now.release.get(lot.number, 0))) for lot in lots]
        for press, lots in now.rows.items()
    }


def _pinned(rows: Rows, fixed: dict[str, int]) -> Rows:
    return {
        press: [replace(lot, pinned=place < fixed[press]) for place, lot in enumerate(lots)]
        for press, lots in rows.items()
    }


def _begun(worked: Worked, lots: list[Lot], fixed: int, clock: int) -> int:
    """How many lots of a press have begun by then, or are fixed."""
    while fixed < len(lots) and worked.made[lots[fixed].number].begin <= clock:
        fixed += 1
    return fixed


def _next_decision(
    case: Case, now: _Now, told: Told, worked: Worked, since: tuple[int, str]
) -> tuple[int, str, int] | None:
    """The next moment at which a press waits for a tool that is late, that press, and the place in its order."""
    clock, at = since
    soonest: tuple[int, str, int] | None = None
    ready = told.world.ready
    for press in sorted(now.rows):
        lots = now.rows[press]
        for n in range(now.fixed[press], len(lots)):
            lot = lots[n]
            comes = ready[lot.tool]
            free = worked.made[lots[n - 1].number].free if n else case.start
            first = max(free, told.begins[lot.number], now.release.get(lot.number, lot.release))
            if comes <= first:
                continue
            moments = [other for other in ready.values() if max(first, clock) < other < comes]
            if first > clock or (first == clock and press > at):
                moments = [first]
            if not moments:
                continue
            if soonest is None or min(moments) < soonest[0]:
                soonest = min(moments), press, n
            break
    return soonest


def _options(now: _Now, told: Told, worked: Worked, when: tuple[int, str, int]) -> list[tuple[str, int]]:
    """(press, place) of the lots that may be taken."""
    clock, press, place = when
    lots, ready = now.rows[press], told.world.ready
    there = [(press, n) for n in range(place + 1, len(lots)) if ready[lots[n].tool] <= clock]
    found = there[:OWN_LOTS]
    for other in sorted(now.rows):
        if other == press:
            continue
        for n in range(now.fixed[other], len(now.rows[other])):
            lot = now.rows[other][n]
            if worked.made[lot.number].begin <= clock or ready[lot.tool] > clock:
                continue
            if told.fits(press, lot, lots) is not None:
                found.append((other, n))
                break
    return found


def _taken(rows: Rows, option: tuple[str, int] | None, press: str, place: int, told: Told) -> Rows:
    """The orders in which a press takes a lot at that place of its own."""
    found = {name: list(lots) for name, lots in rows.items()}
    if option is not None:
        lot = found[option[0]].pop(option[1])
        if option[0] != press:
            moved = told.fits(press, lot, found[press])
            assert moved is not None
            lot = moved
        found[press].insert(place, lot)
    return found


class _Believed:
    """The world as it is believed to be at a moment: what has shown itself, and the likely rest."""

    def __init__(self, case: Case, now: _Now, told: Told, worked: Worked, clock: int) -> None:
        self.told, self.clock, self.now, self.worked = told, clock, now, worked
        begun = [lot for lots in now.rows.values() for lot in lots if worked.made[lot.number].begin < clock]
        self.demands = {lot.demand for lot in begun}
        made = {(item, lot.tool) for lot in begun for item in case.items_of(lot.work)}
        known = Known(
            frozenset((lot.press, *lot.demand) for lot in begun),
            frozenset(lot.tool for lot in begun),
            frozenset(lot.press for lot in begun),
        )
        ready = {
            tool: at if at <= clock else told.arrivals.comes(tool, clock, told.planned.ready[tool], case.start)
            for tool, at in told.world.ready.items()
        }
        supply = {
            material: [
                (at if at <= clock else max(likely, clock), kg)
                for (at, kg), (likely, _) in zip(steps, told.planned.supply[material], strict=True)
            ]
            for material, steps in told.world.supply.items()
        }
        counting = told.planned_coming.counting | {
            of: told.coming.counting[of] for of in made if of in told.coming.counting
        }
        self.coming = Coming(counting, told.coming.piece_late, (told.planned_coming.piece_late, clock))
        self.world = World(ready, supply, told.world.scenario, known, self.coming)

    def value(self, shop: Presses, trial: Rows, press: str, place: int) -> float:
        """What the rest comes to in that order, presses taking what is ready from then on."""
        told, clock = self.told, self.clock
        fixed = {name: _begun(self.worked, lots, self.now.fixed[name], clock) for name, lots in self.now.rows.items()}
        fixed[press] = max(fixed[press], place + 1)
        rows = {
            name: [lot if lot.demand in self.demands else replace(lot, shots=told.shots[lot.number]) for lot in lots]
            for name, lots in trial.items()
        }
        release = dict(self.now.release)
        chosen = trial[press][place]
        release[chosen.number] = max(release.get(chosen.number, chosen.release), clock)
        begins = {number: max(moment, clock) for number, moment in told.begins.items()}
        rows = _pinned(_released(_Now(rows, fixed, release)), fixed)
        try:
            worked = shop.walked(rows, self.world, begins)
            return told.value(worked, self.coming)
        except CannotBeDone:
            return float("inf")
