"""Tiny campaigns and every plan of them, by a plain reading of planner/RULES.md that shares nothing with the planner.

python -m benchmarks.every_plan [number] [first seed]

Each campaign has one to three run demands on one or two presses. Gone through are all lot sizes, all orders of all lots
on all presses, each begun as early as it can or put off to one of the next openings of its press, all turns with
setters, tools and materials, and all orders of service. Of every third, tools ask for people who stay at the press.
Money is added up here from the document alone.

What must hold: no plan costs less than a bound, what is called optimal is the least, what is refused cannot be made.
Where a bench that stands idle for something more urgent makes a plan cheaper, that is counted apart (RULES.md, R19).
Invented data with a fixed seed; wall-clock hours in UTC, one colour a part, one cavity, no scrap.
"""

import random
import sys
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from itertools import permutations, product
from math import ceil, factorial, inf, prod
from typing import Any, NamedTuple

from planner.control import Unhurried
from planner.errors import CampaignProblems, Infeasible, NoneFound
from planner.planning.make import make_plan
from planner.planning.verdict import left_out
from planner.reading import read

Json = dict[str, Any]
DAY = 86_400
DAYS = 60
"""That the calendars are laid out for here."""
OPENINGS = {1: 20, 2: 16, 3: 6}
"""Next openings of its press that a lot is put off to, by how many lots there are."""
FEWEST = 4
"""The same of more lots."""
MOST_PLANS = 12_000
"""Orders of lots with all their waits; each is looked at with every order of service."""
CENT = 1e-3
"""Money by which two ways of adding up may differ."""
ROUNDS = 4
START = datetime(2027, 1, 11)  # a Monday

PRESS_WEEKS = (
    {"mon-fri": "08:00-12:00"},
    {"mon-fri": "08:00-11:00", "sat": "08:00-18:00"},
    {"mon-fri": "06:00-09:00, 10:00-12:30, 13:00-19:00"},
    {"mon-sun": "22:00-03:00"},
    {"mon": "08:00-10:00", "tue": "08:00-16:00", "wed-sun": "08:00-11:30"},
)
BENCH_WEEKS = ({"mon-sun": "00:00-24:00"}, {"mon-fri": "08:00-16:00"}, {"mon-sat": "13:00-15:00"})


def tiny_document(seed: int, tended: bool = False) -> Json:
    """The campaign document of one seed, the first of which the plans are few enough. tended: tools ask for people who
    stay at the press."""
    for attempt in range(1000):
        data = _drawn(random.Random(f"every plan {seed} {attempt}"))
        if tended:
            _tended(random.Random(f"operators {seed} {attempt}"), data)
        if Workshop(data).plans() <= MOST_PLANS:
            return data
    raise AssertionError(f"no campaign of seed {seed} is small enough")


def _drawn(draw: random.Random) -> Json:
    presses = [f"p{n}" for n in range(draw.choice([1, 1, 2]))]
    colours = ["white", "black"][: draw.randint(1, 2)]
    parts = ["shell", "lid"][: draw.randint(1, 2)]
    tools: Json = {}
    for n, part in enumerate(parts):
        tools[f"t{n}"] = {
            "cavities": {part: 1},
            "cycle_s": draw.choice([300, 900, 1500]),
            "scrap_share": 0,
            "mount_minutes": draw.choice([0, 10, 45]),
            "startup_shots": draw.choice([0, 1, 3]),
            "presses": presses if draw.random() < 0.7 else [draw.choice(presses)],
        }
        if draw.random() < 0.3:
            tools[f"t{n}"]["ready"] = f"2027-01-{draw.randint(11, 13)}T{draw.choice(['07:00', '09:30'])}"
    lid_alike = draw.random() < 0.5
    ways = {way: {part: [colours[0] if part == "lid" and lid_alike else way] for part in parts} for way in colours}
    resin: Json = {"family": "PP", "melt_density": 0.945, "price_per_kg": draw.choice([0, 2]), "stock_kg": 900}
    kind = draw.random()
    if kind < 0.25:
        resin |= {"stock_kg": draw.choice([0, 1, 2]), "lead_days": draw.randint(0, 2), "bag_kg": draw.choice([1, 5])}
        resin["min_order_kg"] = draw.choice([0, 8])
    elif kind < 0.5:
        resin |= {"stock_kg": draw.choice([0.5, 1.5]), "arrivals": [
            {"on": f"2027-01-{draw.randint(11, 14)}T{draw.choice(['06:00', '10:15'])}",
             "amount": draw.choice([1, 2, 4, 9])}
        ]}  # fmt: skip
    tiers: Json = {}
    for n in range(draw.randint(1, 2)):
        tiers[f"tier{n}"] = {
            "units": {"box": 1},
            "pack_minutes": draw.choice([0, 1, 10]),
            "priority": draw.randint(1, 9),
            "promised": f"2027-01-{draw.randint(11, 15)}",
            "late_cost_per_day": draw.choice([0, 0.2, 1, 6]),
        }
    lines = [(tier, way) for tier in tiers for way in ways]
    draw.shuffle(lines)
    orders: list[Json] = [
        {"tier": tier, "units": {"box": [way]}, "count": draw.randint(1, 9), "country": "GB"}
        for tier, way in lines[: draw.randint(1, 3)]
    ]
    total = sum(order["count"] for order in orders)
    for tool in tools.values():
        if draw.random() < 0.5:
            tool["smallest_lot_shots"] = draw.choice([-(-total // 3), max(1, total // 2 - 1), 4])
    looks = {"white": "#f0f0ee", "black": "#202020"}
    return {
        "name": "tiny",
        "scrap_taken": "known",
        "currency": "EUR",
        "time_zone": "UTC",
        "start": "2027-01-11T07:00",
        "presses": {
            press: {
                "barrels": [{"holdup_kg": 1, "shot_max_g": 500, "plasticising_kg_h": 72, "clean": True}],
                "clamp_kn": 500,
                "hours": draw.choice(PRESS_WEEKS),
                "rate_per_hour": draw.choice([0, 20, 60]),
                "efficiency": 1,
                "restart_minutes": draw.choice([0, 20, 50]),
            }
            for press in presses
        },
        "tools": tools,
        "resins": {"pp": resin},
        "colours": {colour: {"hex": looks[colour], "let_down_percent": 0} for colour in colours},
        "parts": {part: {"barrels": [{"resin": "pp", "mass_g": draw.choice([20, 100])}]} for part in parts},
        "products": {
            "box": {"parts": dict.fromkeys(parts, 1), "assembly_minutes": draw.choice([0, 5, 30]), "colourways": ways}
        },
        "tiers": tiers,
        "orders": orders,
        "floor": {
            "setters": draw.randint(1, 2),
            "setter_rate_per_hour": draw.choice([0, 30]),
            "disposal_per_kg": draw.choice([0, 1]),
        },
        "assembly": {"hours": draw.choice(BENCH_WEEKS)},
        "packing": {"hours": draw.choice(BENCH_WEEKS), "batch_parcels": 1000},
        "pick_ups": {
            "days": draw.choice([["mon", "tue", "wed", "thu", "fri"], ["tue", "fri"], ["wed"]]),
            "time": draw.choice(["10:00", "17:00"]),
            "parcels": draw.choice([9, 1000]),
        },
        "purging": {
            "given": [
                {"from": f"pp/{a}", "to": f"pp/{b}", "kg": draw.choice([0, 0.595, 5.995])}
                for a in colours for b in colours if a != b
            ]
        },
        "planning": {"rounds": ROUNDS, "seed": 1},
    }  # fmt: skip


def _tended(draw: random.Random, data: Json) -> None:
    for tool in data["tools"].values():
        tool["operators"] = draw.choice([0, 1, 1, 2])
    most = max(tool["operators"] for tool in data["tools"].values())
    data["floor"] |= {"operators": most + draw.choice([0, 0, 1, 2]), "operator_rate_per_hour": draw.choice([0, 18])}


class Run(NamedTuple):
    """A tool in one colour, so many shots; kg of a shot."""

    tool: str
    part: str
    colour: str
    shots: int
    kg: float


class Made(NamedTuple):
    """A lot where it is made: when it takes its press, and pieces (begin, seconds)."""

    begin: int
    run: int
    shots: int
    cycle: int
    pieces: tuple[tuple[int, int], ...]


class Press(NamedTuple):
    free: int = 0
    hot: int = -1
    tool: str = ""
    colour: str = ""


class Standing(NamedTuple):
    """The workshop after some lots: presses, when tools are free, changeovers that hold a setter, people who stay at
    presses, kg used, money."""

    presses: tuple[Press, ...]
    tool_free: tuple[int, ...]
    held: tuple[tuple[int, int], ...]
    staying: tuple[tuple[int, int, int], ...]  # (begin, end, people) of each lot that asks for some
    used: float
    taken: tuple[tuple[int, float, float], ...]  # (begin, kg that must be there then, kg in all)
    made: tuple[Made, ...]
    money: float


@dataclass
class Least:
    """The least money found, and of plans in which no bench stands idle."""

    money: float
    idle: float
    plan: tuple[Made, ...] = ()
    looked: int = 0


@dataclass
class Workshop:
    """A document read anew."""

    data: Json
    runs: list[Run] = field(default_factory=list)
    batches: list[tuple[str, str, int]] = field(default_factory=list)
    openings: int = FEWEST

    def __post_init__(self) -> None:
        data = self.data
        self.begin = self.at(data["start"])
        self.names = list(data["presses"])
        self.tools = list(data["tools"])
        self.hours = [self.open(data["presses"][p]["hours"]) for p in self.names]
        self.assembly, self.packing = self.open(data["assembly"]["hours"]), self.open(data["packing"]["hours"])
        self.batches = [(line["tier"], line["units"]["box"][0], line["count"]) for line in data["orders"]]
        ways = data["products"]["box"]["colourways"]
        asked: Counter[tuple[str, str]] = Counter()
        for _, way, count in self.batches:
            for part, (colour,) in ways[way].items():
                asked[part, colour] += count
        for name, tool in data["tools"].items():
            (part,) = tool["cavities"]
            for (made, colour), count in asked.items():
                if made == part:
                    kg = data["parts"][part]["barrels"][0]["mass_g"] / 1000
                    self.runs.append(Run(name, part, colour, count, kg))
        self.pick_ups = self._pick_ups()
        resin = data["resins"]["pp"]
        self.price, self.disposal = resin["price_per_kg"], data["floor"]["disposal_per_kg"]
        self.supply = [(0, resin["stock_kg"])]
        for arrival in resin.get("arrivals", []):
            self.supply.append((self.at(arrival["on"]), self.supply[-1][1] + arrival["amount"]))
        self.have = self.supply[-1][1]
        self.bought = inf if "lead_days" not in resin else resin["lead_days"] * DAY + self.begin
        self.purge = {(given["from"][3:], given["to"][3:]): given["kg"] for given in data["purging"]["given"]}

    @staticmethod
    def at(moment: str) -> int:
        return int((datetime.fromisoformat(moment) - START).total_seconds())

    def open(self, week: dict[str, str]) -> list[tuple[int, int]]:
        """Stretches from the campaign's start, those that touch as one."""
        days = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
        found: list[list[int]] = []
        for n in range(-1, DAYS):
            for key, text in week.items():
                first, _, last = key.partition("-")
                if not days.index(first) <= n % 7 <= days.index(last or first):
                    continue
                for span in text.split(", "):
                    a, b = (int(t[:2]) * 3600 + int(t[3:]) * 60 for t in span.split("-"))
                    a, b = n * DAY + a, n * DAY + (b if b > a else b + DAY)
                    if b <= self.begin:
                        continue
                    a = max(a, self.begin)
                    if found and found[-1][1] == a:
                        found[-1][1] = b
                    else:
                        found.append([a, b])
        return [(a, b) for a, b in found]

    def _pick_ups(self) -> list[int]:
        told, days = self.data["pick_ups"], ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
        time_ = int(told["time"][:2]) * 3600
        return [n * DAY + time_ for n in range(DAYS) if days[n % 7] in told["days"] and n * DAY + time_ >= self.begin]

    # -- presses -------------------------------------------------------------------------------------------------------

    def place(self, here: Standing, p: int, r: int, shots: int, release: int) -> Standing | None:
        """One more lot on a press, as early as it can be but not before `release`: from then to its end as many people
        can stay there as its tool asks for."""
        many = self.data["tools"][self.runs[r].tool].get("operators", 0)
        while True:
            placed = self._placed(here, p, r, shots, release)
            if placed is None or not many:
                return placed
            begin, end = placed.made[-1].begin, placed.presses[p].free
            moments = [begin, *(a for a, _, _ in here.staying if begin < a < end)]
            at_once = max(sum(n for a, b, n in here.staying if a <= moment < b) for moment in moments)
            if at_once + many <= self.data["floor"]["operators"]:
                return placed._replace(staying=(*placed.staying, (begin, end, many)))
            release = min(b for _, b, _ in here.staying if b > begin)

    def _placed(self, here: Standing, p: int, r: int, shots: int, release: int) -> Standing | None:
        """The same, whoever stays there."""
        press, run, told = here.presses[p], self.runs[r], self.data["presses"][self.names[p]]
        tool, t = self.data["tools"][run.tool], self.tools.index(run.tool)
        restart, cycle = told["restart_minutes"] * 60, tool["cycle_s"]
        startup = tool["startup_shots"] * cycle
        mounts = press.tool != run.tool
        purge = self.purge[press.colour, run.colour] if press.colour not in ("", run.colour) else 0.0
        changes = mounts or press.colour not in ("", run.colour)
        seconds = (tool["mount_minutes"] * 60 if mounts else 0) + ceil(purge / 0.01) + startup if changes else 0
        own = run.kg * (shots + (tool["startup_shots"] if changes else 0)) + purge
        there = self.there(here.used + own)
        if there == inf:
            return None
        ready = self.at(tool["ready"]) if "ready" in tool else 0
        earliest = max(press.free, ready, here.tool_free[t], int(there), release)
        opens = self.hours[p]
        for k, (opened, closes) in enumerate(opens):
            begin = max(earliest, opened)
            if begin >= closes:
                continue
            warm = 0 if press.hot == k else restart
            if changes:
                begin = self.setter(here.held, begin, warm + seconds)
                if begin + warm + seconds <= closes:
                    break
            elif press.hot == k or begin + restart + startup < closes:
                break
        else:
            return None
        money, now, cold = 0.0, begin, press.hot != k
        waste = 0.0
        held = here.held
        if changes:
            now += warm + seconds
            held = (*held, (begin, now))
            money += (warm + seconds) * self.data["floor"]["setter_rate_per_hour"] / 3600
            waste += purge + tool["startup_shots"] * run.kg
            cold = now >= closes
        left, pieces, worked = shots * cycle, [], (warm + seconds if changes else 0)
        while left > 0:
            if cold:
                while k < len(opens) and max(now, opens[k][0]) + restart + startup >= opens[k][1]:
                    k += 1
                if k == len(opens):
                    return None
                now = max(now, opens[k][0]) + restart + startup
                worked += restart + startup
                waste += tool["startup_shots"] * run.kg
            take = min(left, opens[k][1] - now)
            pieces.append((now, take))
            worked, left, now = worked + take, left - take, now + take
            if left > 0:
                k, cold = k + 1, True
        money += worked * told["rate_per_hour"] / 3600 + waste * (self.price + self.disposal)
        money += shots * cycle * self.staying_rate(run.tool)
        money += shots * run.kg * self.price
        kg = shots * run.kg + waste
        presses = tuple(
            Press(now, k, run.tool, run.colour) if q == p
            else other._replace(tool="") if other.tool == run.tool else other
            for q, other in enumerate(here.presses)
        )  # fmt: skip
        free = tuple(now if n == t else moment for n, moment in enumerate(here.tool_free))
        made = (*here.made, Made(begin, r, shots, cycle, tuple(pieces)))
        return here._replace(
            presses=presses, tool_free=free, held=held, used=here.used + kg, taken=(*here.taken, (begin, own, kg)),
            made=made, money=here.money + money,
        )  # fmt: skip

    def staying_rate(self, tool: str) -> float:
        """Money a second of moulding for those who stay at the press."""
        many = self.data["tools"][tool].get("operators", 0)
        return float(many * self.data["floor"].get("operator_rate_per_hour", 0) / 3600)

    def there(self, kg: float) -> float:
        """When so much resin is there in all."""
        return min([moment for moment, amount in self.supply if amount >= kg - 1e-9] + [self.bought])

    def setter(self, held: tuple[tuple[int, int], ...], begin: int, seconds: int) -> int:
        """The first moment from which a setter is free for so long."""
        for moment in sorted({begin, *(end for _, end in held if end > begin)}):
            at_once = max(
                (sum(a <= point < b for a, b in held) for point in
                 [moment, *(a for a, _ in held if moment < a < moment + seconds)]), default=0,
            )  # fmt: skip
            if at_once < self.data["floor"]["setters"]:
                return moment
        raise AssertionError("a setter is free in the end")

    def material_holds(self, here: Standing) -> bool:
        """R16 in order of start, and all that is used can be had."""
        used = 0.0
        for begin, own, kg in sorted(here.taken):
            if self.there(used + own) > begin:
                return False
            used += kg
        return used <= self.have + 1e-6 or self.bought < inf

    def left_over(self, used: float) -> float:
        """Money in what whole bags and a minimum order leave."""
        resin, short = self.data["resins"]["pp"], used - self.have
        if short <= 1e-6:
            return 0.0
        bag = resin["bag_kg"]
        order = ceil((max(short, resin["min_order_kg"]) - 1e-6) / bag) * bag
        return float((order - short) * self.price)

    # -- benches -------------------------------------------------------------------------------------------------------

    def lateness(self, made: tuple[Made, ...], order: tuple[int, ...], idle: bool) -> float:
        """Money of lateness with batches served in this order; idle: benches keep to it, and stand idle for it."""
        box, tiers = self.data["products"]["box"], self.data["tiers"]
        done: dict[int, list[int]] = {}
        for lot in sorted(made):
            moments = done.setdefault(lot.run, [])
            for n in range(1, lot.shots + 1):
                left = n * lot.cycle
                for begin, seconds in lot.pieces:
                    if left <= seconds:
                        moments.append(begin + left)
                        break
                    left -= seconds
        asked: Counter[int] = Counter()
        ready: dict[int, int] = {}
        for b in order:
            _, way, count = self.batches[b]
            ready[b] = self.begin
            for r, run in enumerate(self.runs):
                if box["colourways"][way][run.part][0] == run.colour:
                    asked[r] += count
                    ready[b] = max(ready[b], done[r][asked[r] - 1])
        work = {b: ceil(self.batches[b][2] * box["assembly_minutes"] * 60) for b in order}
        ready, _ = self.bench(self.assembly, order, ready, work, idle)
        work = {b: ceil(self.batches[b][2] * tiers[self.batches[b][0]]["pack_minutes"] * 60) for b in order}
        ended, packed = self.bench(self.packing, order, ready, work, idle)
        room = [self.data["pick_ups"]["parcels"]] * len(self.pick_ups)
        money = 0.0
        for b in packed:
            tier, _, count = self.batches[b]
            taking = (n for n, moment in enumerate(self.pick_ups) if moment >= ended[b] and room[n] >= count)
            k = next(taking, len(self.pick_ups) - 1)  # beyond the calendars: far too late either way
            room[k] -= count
            promised = self.at(tiers[tier]["promised"]) // DAY
            money += max(0, self.pick_ups[k] // DAY - promised) * count * tiers[tier]["late_cost_per_day"]
        return money

    @staticmethod
    def bench(
        hours: list[tuple[int, int]], order: tuple[int, ...], ready: dict[int, int], work: dict[int, int], idle: bool
    ) -> tuple[dict[int, int], list[int]]:
        """When each is done, and in which order they were taken."""
        left, now, ended, taken = list(order), 0, {}, []
        while left:
            now = max(now, ready[left[0]] if idle else min(ready[b] for b in left))
            now = next((max(now, a) for a, b in hours if b > now), DAYS * DAY)
            b = left[0] if idle else next(b for b in left if ready[b] <= now)
            left.remove(b)
            taken.append(b)
            seconds = work[b]
            for opened, closes in hours:
                if closes <= now or seconds == 0:
                    continue
                now = max(now, opened)
                worked = min(seconds, closes - now)
                now, seconds = now + worked, seconds - worked
            ended[b] = now
        return ended, taken

    # -- all of it -----------------------------------------------------------------------------------------------------

    def cuts(self, r: int) -> Iterator[tuple[int, ...]]:
        """All ways to cut a run demand into lots."""
        run = self.runs[r]
        smallest = self.data["tools"][run.tool].get("smallest_lot_shots")

        def cut(shots: int, least: int) -> Iterator[tuple[int, ...]]:
            yield (shots,)
            for first in range(least, shots // 2 + 1):
                yield from ((first, *rest) for rest in cut(shots - first, first))

        return cut(run.shots, smallest) if smallest else iter([(run.shots,)])

    def plans(self) -> int:
        """How many orders of lots there are with all their waits."""
        number = 0
        for sizes in product(*(self.cuts(r) for r in range(len(self.runs)))):
            lots = sum(map(len, sizes))
            fitting = [len(self.data["tools"][run.tool]["presses"]) for run in self.runs]
            presses = prod(n ** len(chosen) for n, chosen in zip(fitting, sizes, strict=True))
            number += factorial(lots) * presses * (OPENINGS.get(lots, FEWEST) + 1) ** lots
            if number > MOST_PLANS:
                break
        return number

    def least(self, known: float) -> Least:
        """The least money of all plans that cost less than `known`, else inf."""
        found = Least(known, known)
        begin = Standing(
            (Press(),) * len(self.names), (0,) * len(self.tools), (), (), 0.0, (), (), 0.0,
        )  # fmt: skip
        for sizes in product(*(self.cuts(r) for r in range(len(self.runs)))):
            lots = Counter((r, shots) for r, chosen in enumerate(sizes) for shots in chosen)
            self.openings = OPENINGS.get(lots.total(), FEWEST)
            self._on(begin, lots, found)
        return found

    def _rest(self, lots: Counter[tuple[int, int]]) -> float:
        """Money that what is left takes at the least."""
        rate = min(press["rate_per_hour"] for press in self.data["presses"].values()) / 3600
        money = 0.0
        for (r, shots), count in lots.items():
            tool = self.runs[r].tool
            cycle = self.data["tools"][tool]["cycle_s"]
            money += count * shots * (cycle * (rate + self.staying_rate(tool)) + self.runs[r].kg * self.price)
        return money

    def _on(self, here: Standing, lots: Counter[tuple[int, int]], found: Least) -> None:
        if here.money + self._rest(lots) >= found.money:
            return
        if not +lots:
            self._done(here, found)
            return
        for (r, shots), count in list(lots.items()):
            if not count:
                continue
            lots[r, shots] -= 1
            for p in range(len(self.names)):
                if self.names[p] not in self.data["tools"][self.runs[r].tool]["presses"]:
                    continue
                soonest = self.place(here, p, r, shots, 0)
                if soonest is None:
                    continue
                self._on(soonest, lots, found)
                later = [opened for opened, _ in self.hours[p] if opened > soonest.made[-1].begin]
                later = later[: self.openings]
                for release in later:
                    put_off = self.place(here, p, r, shots, release)
                    if put_off is not None:
                        self._on(put_off, lots, found)
            lots[r, shots] += 1

    def _done(self, here: Standing, found: Least) -> None:
        found.looked += 1
        if not self.material_holds(here):
            return
        money = here.money + self.left_over(here.used)
        for order in permutations(range(len(self.batches))):
            if money < found.money:
                total = money + self.lateness(here.made, order, idle=False)
                if total < found.money:
                    found.money, found.plan = total, here.made
            if money < found.idle:
                found.idle = min(found.idle, found.money, money + self.lateness(here.made, order, idle=True))


REFUSALS: dict[type, str] = {
    CampaignProblems: "refused at a field",
    Infeasible: "infeasible",
    NoneFound: "none found",
}


class Held(NamedTuple):
    """How one campaign came out: planner's word, whether lots may be cut, and what is wrong, if anything."""

    said: str
    divisible: bool
    idle_pays: bool
    waits: bool
    wrong: str


def held_against_every_plan(seed: int, tended: bool = False) -> Held:
    """Plan the seed's campaign, then go through every plan of it."""
    data = tiny_document(seed, tended)
    shop = Workshop(data)
    divisible = any(len(list(shop.cuts(r))) > 1 for r in range(len(shop.runs)))
    try:
        plan = make_plan(read(data), Unhurried())
    except (CampaignProblems, Infeasible, NoneFound) as refused:
        best = shop.least(inf)
        said = REFUSALS[type(refused)]
        wrong = f"refused ({refused}), but a plan costs {best.money:.3f}: {best.plan}" if best.money < inf else ""
        return Held(said, divisible, False, False, wrong)
    told = plan.outcome
    best = shop.least(told.total + CENT)
    wrong = ""
    fault = left_out(plan)
    waits = any(run.not_before is not None for run in plan.runs)
    if fault is not None:
        wrong = f"{fault.about}: {fault.text[-200:]}"
    elif best.money > told.total + CENT / 2 and not waits:  # for openings further away than those looked at here
        wrong = f"its plan costs {told.total:.4f}, which no plan here does"
    elif best.money < told.lower_bound - CENT:
        known = f"{told.status} at {told.total:.4f}, bound {told.lower_bound:.4f}"
        wrong = f"{known}: a plan costs {best.money:.4f}: {best.plan}"
    return Held(told.status, divisible, best.idle < min(best.money, told.lower_bound) - CENT, waits, wrong)


def main(number: int, first: int) -> None:
    began = time.monotonic()
    seen: Counter[str] = Counter()
    wrong: dict[int, str] = {}
    idle: list[int] = []
    for done, seed in enumerate(range(first, first + number)):
        if done and done % 100 == 0:
            print(f"{done}: {len(wrong)} wrong so far", flush=True)
        tended = seed % 3 == 2
        held = held_against_every_plan(seed, tended)
        seen["with people who stay at presses"] += tended
        seen[held.said + (", lots may be cut" if held.divisible else "")] += 1
        seen["plans that wait on purpose"] += held.waits
        if held.wrong:
            wrong[seed] = held.wrong
        if held.idle_pays:
            idle.append(seed)
    print(f"{number} tiny campaigns in {time.monotonic() - began:.0f} s: {len(wrong)} wrong")
    print(", ".join(f"{what}: {count}" for what, count in sorted(seen.items())))
    print(f"a bench that stands idle undercuts {len(idle)}: {idle[:20]}")
    for seed, why in wrong.items():
        print(f"  seed {seed}: {why}")


if __name__ == "__main__":
    given = [int(argument) for argument in sys.argv[1:]]
    main(given[0] if given else 1000, given[1] if len(given) > 1 else 0)
