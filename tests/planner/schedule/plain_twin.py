"""A slow and plain reading of planner/RULES.md, to hold the compiled evaluator against.

Written from the rules: objects and lists, every start worked out afresh, every shot's second known, no shared code.
"""

from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import chain
from math import ceil, floor, isinf
from typing import NamedTuple

from planner.schedule.instance import NEVER, Instance
from tests.planner.schedule.plain_dryers import Dryers

Melt = int


class CannotBeDone(Exception):
    """A calendar or a material ends before the work does."""


@dataclass
class Press:
    number: int
    stretches: list[tuple[int, int]]
    tool: int | None
    melts: list[Melt | None]
    to_do: list[int]
    hands: dict[int, int]  # start of each stretch -> until when somebody is there
    after: dict[int, int]  # start of each stretch -> number of the stretch since which nobody else worked there
    free: int = 0
    since: int = -1  # the same of the stretch it worked in last
    broken_off: int | None = None  # shots of the next lot that others' work left undone
    warmed: set[int] = field(default_factory=set)  # starts of the stretches that are warm


@dataclass
class Lot:
    """What became of a lot: its changeover (start, end), and for each shot the second it is done."""

    press: int
    changeover: tuple[int, int] | None
    shots_done: list[int]

    @property
    def end(self) -> int:
        return self.shots_done[-1]


class Changes(NamedTuple):
    """A changeover: whether it is needed, seconds without warm-up, melt purged by barrel, what clears barrels (compound
    and bridges, by material), and the moment at which so much of that is there, where it is waited for or there at
    once."""

    needed: bool
    seconds: int
    kg: dict[int, float]
    clearing: dict[int, float]
    waits: int


@dataclass
class Result:
    lots: dict[int, Lot]
    lines: dict[str, float]
    purge_kg: float
    startup_kg: float
    job_ends: dict[int, int]
    batch_ends: dict[int, int]
    pickups: dict[int, int]
    cost: float
    broken: float = 0.0


def carried_out(inst: Instance, sequences: list[list[int]], order: list[int]) -> Result:
    """Carry out a plan as early as the rules allow. Raises CannotBeDone."""
    return Workshop(inst, sequences).carried_out(order)


class Workshop:
    def __init__(self, inst: Instance, sequences: list[list[int]]) -> None:
        self.inst = inst = inst.filled()
        self.presses = []
        for p, lots in enumerate(sequences):
            a, b = inst.open_ptr[p], inst.open_ptr[p + 1]
            held = [None if m < 0 else int(m) for m in inst.press_melt[p]]
            mounted = None if inst.press_tool[p] < 0 else int(inst.press_tool[p])
            hours = [(int(s), int(e)) for s, e in zip(inst.open_start[a:b], inst.open_end[a:b], strict=True)]
            hands = dict(zip(inst.open_start[a:b].tolist(), inst.hands_end[a:b].tolist(), strict=True))
            since = inst.since_others[a:b].tolist() if inst.sharing else [-1] * len(hours)
            after = dict(zip(inst.open_start[a:b].tolist(), since, strict=True))
            self.presses.append(Press(p, hours, mounted, held, list(lots), hands, after))
        self.base_free: dict[int, int] = {}
        self.bills = [0.0] * len(self.presses)
        self.charged: set[tuple[int, int, int]] = set()  # press, opening, shift of it
        self.still_to_come = [int(inst.lot_run[lot]) for lots in sequences for lot in lots]
        self.done_at: dict[int, int] = {}
        self.broken = 0.0
        self.runner: dict[tuple[int, int], Melt] = {
            (t, b): int(melt) for t, row in enumerate(inst.tool_melt) for b, melt in enumerate(row) if melt >= 0
        }
        self.setters_busy_until = [0] * inst.setters
        self.staying: list[tuple[int, int, int]] = []  # first of the people of a place, how many stay, until when
        self.used = [Fraction(0)] * len(inst.material_price)
        self.dryers = Dryers(inst)
        self.lots: dict[int, Lot] = {}
        self.began: list[tuple[int, int]] = []
        self.lines = dict.fromkeys(("press", "setter", "purge", "startup", "leftover", "lateness"), 0.0)
        self.purge_kg = self.startup_kg = 0.0

    # -- presses -------------------------------------------------------------------------------------------------------

    def carried_out(self, order: list[int]) -> Result:
        while any(p.to_do for p in self.presses):
            to_do = [p for p in self.presses if p.to_do]
            may = [p for p in to_do if not self._held_back(p)]
            if not may:
                self.broken += 1
            starts = [(self._start(p), p.number) for p in may or to_do[:1]]
            moment, number = min(starts)
            self._begin(self.presses[number], moment)
        for number in range(len(self.presses)):
            self._bill(number)
        self._leftovers()
        self._wishes()
        job_ends, batch_ends, packed = self._benches(order)
        pickups = self._dispatches(batch_ends, packed)
        cost = self.inst.fixed_cost + sum(self.lines.values())
        kg = self.purge_kg, self.startup_kg
        return Result(self.lots, self.lines, *kg, job_ends, batch_ends, pickups, cost, self.broken)

    def _melts(self, run: int) -> list[tuple[int, Melt]]:
        return [(b, int(m)) for b, m in enumerate(self.inst.run_melt[run]) if m >= 0]

    def _free(self, press: Press, run: int) -> int:
        """When press and tool are both free."""
        tool = int(self.inst.run_tool[run])
        return max(press.free, int(self.inst.tool_ready[tool]), self.base_free.get(int(self.inst.tool_base[tool]), 0))

    def _held_back(self, press: Press) -> bool:
        """Whether its next run waits, by a wish, for one that is not done."""
        inst = self.inst
        if not inst.wishing:
            return False
        return any(inst.run_after[inst.lot_run[press.to_do[0]], run] for run in self.still_to_come)

    def _wished(self, run: int) -> int:
        """The moment before which wishes let no lot of a run begin."""
        inst = self.inst
        if not inst.wishing:
            return 0
        done = [at + int(inst.after_rest[run, one]) for one, at in self.done_at.items() if inst.run_after[run, one]]
        return max([int(inst.run_from[run]), *done])

    def _wishes(self) -> None:
        """Hours too late and one each time, pairs in the wrong order, and what stands between or apart."""
        inst = self.inst
        if not inst.wishing:
            return
        orders: list[list[int]] = [[] for _ in self.presses]
        for _, lot in self.began:
            if lot not in orders[self.lots[lot].press]:
                orders[self.lots[lot].press].append(lot)
        for p, lots in enumerate(orders):
            for n, lot in enumerate(lots):
                run = int(inst.lot_run[lot])
                late = self.lots[lot].end + int(inst.closing_s[p, run]) - int(inst.run_until[run])
                self.broken += 1 + late / 3600 if late > 0 else 0
                self.broken += sum(bool(inst.run_ahead[p, run, inst.lot_run[before]]) for before in lots[:n])
        for wish in inst.together:
            marks = [[bool(wish[inst.lot_run[lot]]) for lot in lots] for lots in orders]
            for mine in marks:
                if any(mine):
                    within = mine[mine.index(True) : len(mine) - mine[::-1].index(True)]
                    self.broken += within.count(False)
            self.broken += sum(map(sum, marks)) - max(map(sum, marks))

    def _setters(self, p: int) -> range:
        """Whoever may set up a press."""
        inst = self.inst
        return range(int(inst.setter_first[p]), int(inst.setter_last[p])) if inst.elsewhere else range(inst.setters)

    def _staying_at(self, run: int) -> int:
        """People who stay at the press while a run is moulded."""
        return int(self.inst.run_operators[run]) if self.inst.tended else 0

    def _free_to_stay(self, p: int, run: int, earliest: int) -> int:
        """The first moment at which as many people of the place as a run asks for stay nowhere else."""
        inst, many = self.inst, self._staying_at(run)
        if not inst.operators or not many:
            return earliest
        first, there = int(inst.operator_first[p]), int(inst.operator_last[p] - inst.operator_first[p])
        mine = [(number, until) for place, number, until in self.staying if place == first]
        for moment in sorted({earliest, *(until for _, until in mine if until > earliest)}):
            if sum(number for number, until in mine if until > moment) + many <= there:
                return moment
        raise CannotBeDone

    def _bill(self, p: int) -> None:
        """Charge a press what its run falls short of the least."""
        if self.inst.charging and self.bills[p]:
            self.lines["press"] += max(0.0, float(self.inst.least_bill[p]) - self.bills[p])
        self.bills[p] = 0.0

    def _charge_hours(self, p: int, opens: int, begin: int, end: int) -> None:
        """Every shift of an opening in which something is worked, once."""
        inst = self.inst
        if not inst.charging or not inst.shift_s[p]:
            return
        length = int(inst.shift_s[p])
        shifts = {(p, opens, n) for n in range((end - opens) // length + 1)
                  if max(begin, opens + n * length) < min(end, opens + (n + 1) * length)}  # fmt: skip
        self.lines["press"] += len(shifts - self.charged) * float(inst.shift_charge[p])
        self.charged |= shifts

    def _changes(self, press: Press, run: int) -> Changes:
        inst, tool, p = self.inst, int(self.inst.run_tool[run]), press.number
        needed, seconds, kg = press.tool != tool, 0, {}
        clearing: dict[int, float] = {}
        waits, free = 0, self._free(press, run)
        if needed:
            of_its_base = press.tool is not None and inst.tool_base[press.tool] == inst.tool_base[tool]
            seconds += int((inst.insert_s if of_its_base else inst.mount_s)[tool])

        def there(material: int, asked: float) -> int:
            """When there is so much of it beyond what is used; NEVER if never."""
            steps = range(inst.supply_ptr[material], inst.supply_ptr[material + 1])
            want = float(self.used[material]) + clearing.get(material, 0.0) + asked - 1e-9
            return min((int(inst.supply_t[s]) for s in steps if inst.supply_kg[s] >= want), default=NEVER)

        for b, new in self._melts(run):
            kg[b] = 0.0
            old = press.melts[b]
            if old is not None and old != new:
                needed = True
                bridge = int(inst.bridge[old, new])
                with_it = bridge if bridge >= 0 else int(inst.compound)
                asked = float(inst.compound_kg[p, b, old, new]) if with_it >= 0 and inst.compound_kg.size else 0.0
                if asked > 0 and ((moment := there(with_it, asked)) <= free or inst.compound_only[p, b, old, new]):
                    waits = max(waits, moment)
                    clearing[with_it] = clearing.get(with_it, 0.0) + asked
                    seconds += int(inst.compound_s[p, b, run, old])
                    kg[b] += float(inst.compound_rinse_kg[p, b, old, new])
                else:
                    seconds += int(inst.purge_s[p, b, run, old])
                    kg[b] += float(inst.purge_kg[p, b, old, new])
            was = self.runner.get((tool, b))
            if inst.hot_runner[tool, b] and was is not None and was != new:
                needed = True
                asked = float(inst.hot_compound_kg[tool, b, was, new]) if inst.compound >= 0 else 0.0
                with_it = int(inst.compound)
                if asked > 0 and ((moment := there(with_it, asked)) <= free or inst.hot_only[tool, b, was, new]):
                    waits = max(waits, moment)
                    clearing[with_it] = clearing.get(with_it, 0.0) + asked
                    seconds += int(inst.hot_compound_s[p, b, run, was])
                    kg[b] += float(inst.hot_rinse_kg[tool, b, was, new])
                else:
                    seconds += int(inst.hot_s[p, b, run, was])
                    kg[b] += float(inst.hot_kg[tool, b, was, new])
        if needed:
            seconds += int(inst.startup_s[p, run])
        return Changes(needed, seconds, kg, clearing, waits)

    def _purges(self, press: Press, run: int) -> bool:
        """Whether anything is purged before a run."""
        tool = int(self.inst.run_tool[run])
        for b, new in self._melts(run):
            held = [press.melts[b]]
            if self.inst.hot_runner[tool, b]:
                held.append(self.runner.get((tool, b)))
            if any(old is not None and old != new for old in held):
                return True
        return False

    def _left(self, run: int) -> dict[int, Melt]:
        """Barrels whose melt must not stand, and what clears it."""
        left = ((b, int(self.inst.left_melt[run, b])) for b, _ in self._melts(run))
        return {b: m for b, m in left if m != int(self.inst.run_melt[run, b])}

    def _melt_use(self, melt: Melt, kg: float) -> list[tuple[int, float]]:
        share = float(self.inst.melt_master_share[melt])
        use = [(int(self.inst.melt_resin[melt]), kg * (1 - share))]
        if self.inst.melt_master[melt] >= 0:
            use.append((int(self.inst.melt_master[melt]), kg * share))
        return use

    def _material_there(self, press: int, run: int, shots: int, purge: dict[int, float], more: dict[int, float]) -> int:
        """When a run's own material is there; more: by material, what clears barrels before it."""
        wanted = dict(more)
        for b, melt in self._left(run).items():
            for material, kg in self._melt_use(melt, float(self.inst.closing_kg[press, run, b])):
                wanted[material] = wanted.get(material, 0.0) + kg
        for b, melt in self._melts(run):
            for material, kg in self._melt_use(melt, shots * float(self.inst.shot_kg[run, b]) + purge.get(b, 0.0)):
                wanted[material] = wanted.get(material, 0.0) + kg
        latest = 0
        for material, kg in wanted.items():
            steps = range(self.inst.supply_ptr[material], self.inst.supply_ptr[material + 1])
            moments = [
                int(self.inst.supply_t[s])
                for s in steps
                if self.inst.supply_kg[s] >= float(self.used[material]) + kg - 1e-9
            ]
            if not moments:
                raise CannotBeDone
            latest = max(latest, min(moments))
        return latest

    def _as_found(self, press: Press, since: int) -> Press:
        """The press as it is in stretches that come after others' work, or as our last run left it."""
        if since == press.since:
            return press
        left = [None if m < 0 else int(m) for m in self.inst.others_left[since]]
        return replace(press, tool=None, melts=left, since=since)

    def _room(self, press: Press, run: int, now: int, warm: bool) -> int:
        """Seconds of production from `now` until others work there, restarts paid; warm: so is the press at `now`."""
        inst, p = self.inst, press.number
        closing = int(inst.closing_s[p, run])
        restart = int(inst.restart_s[p]) + int(inst.startup_s[p, run])
        room, here = 0, None
        for opens, closes in press.stretches:
            if closes <= now and here is None:
                continue
            here = press.after[opens] if here is None else here
            if press.after[opens] != here:
                return room
            begin, there = max(now, opens), press.hands[opens]
            closes = (there if closing or self._staying_at(run) else closes) - closing
            if not (warm and opens <= now):
                begin += restart + (int(inst.opening_s[p, run]) if room and closing else 0)
                if begin > there:
                    continue
            room += max(0, closes - begin)
        return 2**40

    def _start(self, press: Press) -> int:
        for since in dict.fromkeys(press.after.values()):
            if since < press.since:
                continue
            try:
                return self._start_since(self._as_found(press, since), since)
            except CannotBeDone:
                continue
        raise CannotBeDone

    def _start_since(self, press: Press, since: int) -> int:
        inst, lot = self.inst, press.to_do[0]
        run = int(inst.lot_run[lot])
        needed, seconds, kg, clearing, waits = self._changes(press, run)
        if waits >= NEVER:
            raise CannotBeDone
        own = int(inst.lot_shots[lot]) if press.broken_off is None else press.broken_off
        shots = own + (int(inst.startup_shots[run]) if needed else 0)
        earliest = max(self._free(press, run), waits)
        drawn = {m: amount for m, amount in clearing.items() if m != inst.compound}
        earliest = max(earliest, self._material_there(press.number, run, shots, kg if needed else {}, drawn))
        earliest = self.dryers.ready(press.number, run, own, kg if needed else {}, earliest)
        if earliest >= NEVER:
            raise CannotBeDone
        closing = int(inst.closing_s[press.number, run])
        shot = Fraction(int(inst.shot_num[press.number, run]), int(inst.shot_den[press.number, run]))
        if needed:
            earliest = max(earliest, min(self.setters_busy_until[n] for n in self._setters(press.number)))
        earliest = max(earliest, self._wished(run))
        earliest = self._free_to_stay(press.number, run, earliest)
        if inst.lot_release.size:
            earliest = max(earliest, int(inst.lot_release[lot]))
        for opens, closes in press.stretches:
            begin = max(earliest, opens)
            if begin >= closes or press.after[opens] != since:
                continue
            there = press.hands[opens]
            closes = there if closing or self._staying_at(run) else closes
            warm_up = 0 if opens in press.warmed else int(inst.restart_s[press.number])
            if needed:
                ready = begin + warm_up + seconds
                fits = begin < closes and ready + (closing + 1 if closing else 0) <= there
                warm = True
            else:
                ready, warm = begin, opens in press.warmed
                restart = 0 if warm else warm_up + int(inst.startup_s[press.number, run])
                fits = begin + restart + closing < closes and (warm or begin + restart <= there)
            if fits and (not inst.sharing or self._room(press, run, ready, warm) >= shot):
                return begin
        raise CannotBeDone

    def _stretch(self, press: Press, moment: int) -> tuple[int, int]:
        return next((o, c) for o, c in press.stretches if o <= moment < c)

    def _take(self, melt: Melt, kg: float) -> None:
        for material, amount in self._melt_use(melt, kg):
            self.used[material] += Fraction(amount)

    def _waste(self, melt: Melt, kg: float) -> None:
        """Purge so much of a melt."""
        self.purge_kg += kg
        self.lines["purge"] += kg * float(self.inst.waste_cost_kg[melt])
        self._take(melt, kg)

    def _start_up(self, run: int) -> None:
        for b, melt in self._melts(run):
            kg = int(self.inst.startup_shots[run]) * float(self.inst.shot_kg[run, b])
            self.startup_kg += kg
            self.lines["startup"] += kg * float(self.inst.waste_cost_kg[melt])
            self._take(melt, kg)

    def _begin(self, press: Press, moment: int) -> None:
        inst, lot, p = self.inst, press.to_do[0], press.number
        since = press.after[self._stretch(press, moment)[0]]
        found = self._as_found(press, since)
        press.tool, press.melts, press.since = found.tool, found.melts, since
        run = int(inst.lot_run[lot])
        own = int(inst.lot_shots[lot]) if press.broken_off is None else press.broken_off
        tool = int(inst.run_tool[run])
        rate = float(inst.press_cost_s[p])
        needed, seconds, kg, clearing, _ = self._changes(press, run)
        changeover = None
        now = moment
        if needed:
            opens, _ = self._stretch(press, moment)
            if opens not in press.warmed:
                seconds += int(inst.restart_s[p])
                press.warmed.add(opens)
            now = moment + seconds
            changeover = (moment, now)
            who = min(self._setters(p), key=lambda n: self.setters_busy_until[n])
            self.setters_busy_until[who] = now
            self.lines["press"] += seconds * rate
            if inst.charging:
                self._bill(p)
                mounts = press.tool != int(inst.run_tool[run])
                charge = float(inst.changeover_charge[p, int(self._purges(press, run)), int(mounts)])
                self.lines["press"] += charge
                self.bills[p] += charge + seconds * rate
                self._charge_hours(p, opens, moment, now)
            self.lines["setter"] += seconds * inst.setter_cost_s[p]
            for material, amount in clearing.items():
                self.used[material] += Fraction(amount)
                self.purge_kg += amount
                per_kg = inst.compound_cost_kg if material == inst.compound else float(inst.clearing_cost_kg[material])
                self.lines["purge"] += amount * per_kg
            for b, new in self._melts(run):
                self.purge_kg += kg[b]
                self.lines["purge"] += kg[b] * float(inst.waste_cost_kg[new])
                self._take(new, kg[b])
            self._start_up(run)
        base = int(inst.tool_base[tool])
        for other in self.presses:
            if other.tool is not None and inst.tool_base[other.tool] == base:
                other.tool = None
        press.tool = tool
        shot = Fraction(int(inst.shot_num[p, run]), int(inst.shot_den[p, run]))
        warm = self._stretch(press, moment)[0] in press.warmed
        shots = min(own, floor(self._room(press, run, now, warm) / shot)) if inst.sharing else own
        for b, new in self._melts(run):
            press.melts[b] = self.runner[tool, b] = self._left(run).get(b, new)
            self._take(new, shots * float(inst.shot_kg[run, b]))
        if inst.charging:
            self.lines["press"] += shots * float(inst.shot_charge[p, run] - inst.shot_charge_least[run])
            self.bills[p] += shots * float(inst.shot_charge[p, run])
        worked = self._work(press, run, now, shots)
        done = [worked[ceil(n * shot) - 1] for n in range(1, shots + 1)]
        if press.broken_off is None:
            self.lots[lot] = Lot(p, changeover, done)
        else:
            self.lots[lot].shots_done += done
        press.broken_off = own - shots or None
        if press.broken_off is None:
            press.to_do.pop(0)
            self.still_to_come.remove(run)
        self.began.append((moment, lot))
        press.free = self.lots[lot].end + int(inst.closing_s[p, run])
        self.base_free[base] = press.free
        if inst.operators and self._staying_at(run):
            self.staying.append((int(inst.operator_first[p]), self._staying_at(run), press.free))
        self.done_at[run] = max(self.done_at.get(run, 0), press.free)
        times = (moment, changeover[1] if changeover else moment, press.free)
        drawn = self.dryers.drawn(p, run, shots, kg if needed else {}, times)
        self.lines["setter"] += self.dryers.cleanings(drawn) * inst.dryer_clean_cost
        self.dryers.draws += drawn

    def _work(self, press: Press, run: int, now: int, shots: int) -> list[int]:
        """The moment each working second of production is over; restarts are paid on the way."""
        inst, p = self.inst, press.number
        rate = float(inst.press_cost_s[p])
        left = ceil(shots * Fraction(int(inst.shot_num[p, run]), int(inst.shot_den[p, run])))
        closing = int(inst.closing_s[p, run])
        restart = int(inst.restart_s[p]) + int(inst.startup_s[p, run])
        done: list[int] = []
        for opens, closes in press.stretches:
            if closes <= now or left == 0:
                continue
            begin = max(now, opens)
            there = press.hands[opens]
            closes = there if closing or self._staying_at(run) else closes
            if closes <= begin:
                continue
            if opens not in press.warmed:
                back = bool(done and closing)
                again = int(inst.opening_s[p, run]) if back else 0
                if begin + restart + again + closing >= closes or begin + restart + again > there:
                    continue
                self.lines["press"] += (restart + again) * rate
                self.bills[p] += (restart + again) * rate
                self._charge_hours(p, opens, begin, begin + restart + again)
                self._start_up(run)
                if back:
                    for b in self._left(run):
                        self._waste(int(inst.run_melt[run, b]), float(inst.opening_kg[p, run, b]))
                press.warmed.add(opens)
                begin += restart + again
            seconds = min(left, closes - closing - begin)
            done += range(begin + 1, begin + seconds + 1)
            self.lines["press"] += (seconds + closing) * rate
            self.bills[p] += (seconds + closing) * rate
            if inst.tended:
                self.lines["press"] += seconds * float(inst.tending_cost_s[p, run])
                self.bills[p] += seconds * float(inst.tending_cost_s[p, run])
            self._charge_hours(p, opens, begin, begin + seconds + closing)
            for b, melt in self._left(run).items():
                self._waste(melt, float(inst.closing_kg[p, run, b]))
            left -= seconds
        if left:
            raise CannotBeDone
        return done

    def _leftovers(self) -> None:
        inst = self.inst
        for m, used in enumerate(self.used):
            short = float(used) - float(inst.material_have[m])
            if short > 1e-6:
                if not isinf(inst.supply_kg[inst.supply_ptr[m + 1] - 1]):
                    raise CannotBeDone
                bags = ceil((max(short, float(inst.min_order_kg[m])) - 1e-6) / float(inst.bag_kg[m]))
                bought = bags * float(inst.bag_kg[m])
                unused = min(bought, bought - short + float(inst.material_regrind[m]))
                self.lines["leftover"] += unused * float(inst.material_price[m])

    # -- benches and pick-ups ------------------------------------------------------------------------------------------

    def _good_there(self) -> dict[int, list[int]]:
        """Of each moulded good: the moment its m-th part beyond stock is there, rested."""
        inst = self.inst
        there = {}
        for g, run in enumerate(inst.good_run):
            if run < 0:
                continue
            if inst.several and inst.first_source[g] < inst.last_source[g]:
                made = [self._made(s) for s in range(int(inst.first_source[g]), int(inst.last_source[g]))]
                rested = [moment + int(inst.good_rest_s[g]) for moment in sorted(chain.from_iterable(made))]
                there[g] = self._travelled(g, rested, len(rested)) if inst.sent_out else rested
                continue
            done = sorted(
                moment for lot, what in self.lots.items() if inst.lot_run[lot] == run for moment in what.shots_done
            )
            q, counting = int(inst.good_need[g]), int(inst.good_count_shots[g])
            moments: list[int] = []
            for n, moment in enumerate(done, start=1):
                counted_on = min(q, n * q // counting)
                moments += [moment + int(inst.good_rest_s[g])] * (counted_on - len(moments))
            there[g] = self._travelled(g, moments, q) if inst.sent_out else moments
        return there

    def _made(self, source: int) -> list[int]:
        """Of what one of several tools makes of a good: the moment its m-th part is counted on."""
        inst = self.inst
        q, counting = int(inst.good_need[source]), int(inst.good_count_shots[source])
        done = sorted(
            moment
            for lot, what in self.lots.items()
            if inst.lot_run[lot] == inst.good_run[source]
            for moment in what.shots_done
        )
        counted = [(n * q // counting, moment) for n, moment in enumerate(done, start=1)]
        return [next(moment for parts, moment in counted if parts >= m) for m in range(1, q + 1)]

    def _travelled(self, g: int, moments: list[int], needed: int) -> list[int]:
        """Those in hand first; each part comes back with its lot."""
        inst = self.inst
        at_hand = [0] * int(inst.good_moulded[g]) + moments + [NEVER] * (needed - len(moments))
        size = min(len(at_hand), int(inst.good_lot[g])) or 1
        trips = [
            (int(inst.trip_leaves[k]), int(inst.trip_back[k])) for k in range(inst.trip_ptr[g], inst.trip_ptr[g + 1])
        ]
        back = []
        for begin in range(0, len(at_hand), size):
            lot = at_hand[begin : begin + size]
            comes = max(lot)
            if trips:
                comes = next((returns for leaves, returns in trips if leaves >= comes), NEVER)
            back += [comes] * len(lot)
        return back

    def _benches(self, order: list[int]) -> tuple[dict[int, int], dict[int, int], list[int]]:
        inst, there = self.inst, self._good_there()
        taken: dict[int, int] = {}

        def met(good: int, quantity: int) -> int:
            taken[good] = taken.get(good, 0) + quantity
            if inst.good_run[good] >= 0:
                beyond = taken[good] - int(inst.good_stock[good])
                return there[good][beyond - 1] if beyond > 0 else 0
            steps = range(inst.piece_ptr[good], inst.piece_ptr[good + 1])
            moments = [int(inst.piece_t[s]) for s in steps if inst.piece_count[s] >= taken[good]]
            return min(moments) if moments else NEVER

        job_ready: list[tuple[int, int]] = []  # in order of service: (job, moment)
        job_moments: dict[int, dict[int, int]] = {}
        batch_pieces: dict[int, int] = {}
        for b in order:
            for job in range(inst.job_ptr[b], inst.job_ptr[b + 1]):
                needs = range(inst.job_need_ptr[job], inst.job_need_ptr[job + 1])
                moments = [met(int(inst.job_good[i]), int(inst.job_qty[i])) for i in needs]
                job_ready.append((job, max(moments, default=0)))
                job_moments[job] = dict(zip(needs, moments, strict=True))
            own = range(inst.batch_need_ptr[b], inst.batch_need_ptr[b + 1])
            batch_pieces[b] = max((met(int(inst.batch_good[i]), int(inst.batch_qty[i])) for i in own), default=0)
        assembly = list(zip(inst.asm_start, inst.asm_end, inst.asm_people, strict=True))
        packing = list(zip(inst.pack_start, inst.pack_end, inst.pack_people, strict=True))
        if inst.finishing:
            job_ready = self._finished(job_ready, job_moments)
        job_ends, _ = _bench(assembly, [(j, ready, int(inst.job_work[j])) for j, ready in job_ready])
        to_pack = []
        for b in order:
            own_jobs = range(inst.job_ptr[b], inst.job_ptr[b + 1])
            ready = max([batch_pieces[b], *(job_ends[j] for j in own_jobs)])
            to_pack.append((b, ready, int(inst.batch_work[b])))
        batch_ends, packed = _bench(packing, to_pack)
        return job_ends, batch_ends, packed

    def _finished(self, job_ready: list[tuple[int, int]], moments: dict[int, dict[int, int]]) -> list[tuple[int, int]]:
        """When jobs can be assembled once benches before are done with their parts, in the same order."""
        inst, done = self.inst, {job: 0 for job, _ in job_ready}
        for bench in range(inst.finishing):
            span = range(inst.finish_ptr[bench], inst.finish_ptr[bench + 1])
            hours = [(int(inst.finish_start[k]), int(inst.finish_end[k]), int(inst.finish_people[k])) for k in span]
            waiting = []
            for job, _ in job_ready:
                work = int(inst.finish_work[bench, job])
                if work >= 0:
                    own = [moment for i, moment in moments[job].items() if inst.need_first[i] == bench]
                    waiting.append((job, max([done[job], *own]), work))
            ends, _ = _bench(hours, waiting)
            for job, end in ends.items():
                done[job] = max(done[job], end + int(inst.finish_rest[bench, job]))
        return [(job, max(ready, done[job])) for job, ready in job_ready]

    def _dispatches(self, batch_ends: dict[int, int], packed: list[int]) -> dict[int, int]:
        inst = self.inst
        loaded = [0] * len(inst.pickup_t)
        leaves: dict[int, int] = {}
        waves = {b: int(inst.batch_wave[b]) if inst.leaving else -1 for b in packed}
        for b in sorted(packed, key=lambda b: max(0, waves[b])):  # stable: in order of packing within a wave
            parcels = int(inst.batch_parcels[b])
            before = [int(inst.pickup_t[k]) for other, k in leaves.items() if -1 < waves[other] < waves[b]]
            ready = max([batch_ends[b], *before])
            for k, moment in enumerate(inst.pickup_t):
                whose = int(inst.pickup_carrier[k]) if inst.leaving else 0
                room = int(inst.carrier_parcels[whose]) if inst.leaving else inst.pickup_parcels
                mine = not inst.leaving or whose == inst.batch_carrier[b]
                if mine and moment >= ready and loaded[k] + parcels <= room:
                    loaded[k] += parcels
                    leaves[b] = k
                    late = max(0, int(inst.pickup_day[k]) - int(inst.batch_due[b]))
                    self.lines["lateness"] += late * float(inst.batch_late_cost[b])
                    break
            else:
                raise CannotBeDone
        for k, parcels in enumerate(loaded if inst.leaving else []):
            each = int(inst.pallet_parcels[inst.pickup_carrier[k]])
            if parcels and each:
                price = float(inst.pallet_price[inst.pickup_carrier[k]])
                self.lines["lateness"] += ceil(Fraction(parcels, each)) * price
        self.lines["lateness"] -= inst.pallets_least
        return leaves


def _bench(hours: list[tuple[int, int, int]], waiting: list[tuple[int, int, int]]) -> tuple[dict[int, int], list[int]]:
    """(end of each, order in which they were taken). waiting: (id, ready, person-seconds), first served first."""
    ends: dict[int, int] = {}
    taken: list[int] = []
    now = 0
    while waiting:
        now = max(now, min(ready for _, ready, _ in waiting))
        stretch = next(((o, c, n) for o, c, n in hours if c > now), None)
        if stretch is None:
            raise CannotBeDone
        now = max(now, int(stretch[0]))
        step = next(w for w in waiting if w[1] <= now)
        waiting.remove(step)
        left = step[2]
        if left:
            for opens, closes, people in hours:
                begin = max(now, int(opens))
                if closes <= begin:
                    continue
                done_here = min(left, (int(closes) - begin) * int(people))
                left -= done_here
                if left == 0:
                    now = begin + ceil(Fraction(done_here, int(people)))
                    break
            if left:
                raise CannotBeDone
        ends[step[0]] = now
        taken.append(step[0])
    return ends, taken


def objective(inst: Instance, result: Result) -> float:
    """Weigh the result by the instance's aim."""
    moments = {b: int(inst.pickup_t[k]) for b, k in result.pickups.items()}
    weight = sum(float(inst.batch_weight[b]) for b in moments)
    mean = sum(float(inst.batch_weight[b]) * t for b, t in moments.items()) / weight if weight else 0.0
    return float(
        inst.aim_cost * result.cost
        + inst.aim_last * max(moments.values(), default=0) / 86400
        + inst.aim_mean * mean / 86400
        + inst.aim_waste * (result.purge_kg + result.startup_kg)
        + inst.wish_cost * result.broken
    )
