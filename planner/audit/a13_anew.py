"""A13: twenty of the scenarios timed anew, from the two documents alone, each to the cent that is stated of it.

What is drawn, when every run begins and every batch leaves, and what it costs is worked out by modules that share
nothing with whoever made the plan (`anew_scenario`, `anew_presses`, `anew_benches`). First the plan itself is timed so:
if that does not come to its own total it is not understood, and nothing is said of its scenarios. What is not timed
anew, and why, stands in the verdict.
"""

from collections import Counter, defaultdict
from dataclasses import replace
from datetime import date, timedelta
from functools import cached_property
from math import ceil, sqrt
from typing import NamedTuple

from planner.audit.a12_cost import pieces_left
from planner.audit.a13_branches import known_at, likely_later
from planner.audit.a13_drawn import OnTop, recipes_in, recoloured, uniform
from planner.audit.anew_again import Arrivals, Told, planned_again
from planner.audit.anew_benches import Benches, Things
from planner.audit.anew_bills import LINES
from planner.audit.anew_fitting import Fitting
from planner.audit.anew_goods import Coming
from planner.audit.anew_made import CannotBeDone, Lot, Worked
from planner.audit.anew_others import goes_on
from planner.audit.anew_presses import Presses, World, supplies
from planner.audit.anew_purges import CannotTell
from planner.audit.anew_scenario import Scenario, drawn, normal, ready_late
from planner.audit.anew_waits import MOST, WISH, broken
from planner.audit.case import Case, Work, open_cavities
from planner.audit.figures import MONEY, same
from planner.audit.findings import Findings
from planner.audit.masses import Material, price_of
from planner.audit.needs import Item, spoilt
from planner.audit.shared import counts_with, dealt_out, is_shared, shots_with
from planner.campaign import Campaign
from planner.campaign.uncertainty import Recipe
from planner.plan.document import Branch, Expected

TWENTY = 20

TIE = 1e-6
"""Money that a day of the mean dispatch breaks ties with."""

SLACK = 2e-5
"""Share of a scenario's cost by which two ways of summing up may differ."""

SPARE = timedelta(days=100)
"""Hours are laid out for so much longer than the plan takes; what takes longer in a scenario is not timed anew."""

MOST_WORK = 60_000
"""Runs, batches and jobs looked at in all: some seconds. Of a larger plan fewer scenarios are timed, two at least."""

AGAIN = 6
"""A scenario in which presses plan again counts as so many."""

VARIES = (
    "press hours", "energy", "setter hours", "operator hours", "purge material", "purging compound",
    "start-up material", "disposal", "pallets", "lateness", *LINES,
)  # fmt: skip


Counting = dict[tuple[Item, str], int]
"""(item, tool) -> shots until what the tool makes of the item is good."""


class LongCase(Case):
    """A case with hours for scenarios in which everything comes later."""

    @cached_property
    def _days(self) -> tuple[date, date]:
        first, last = Case._days.func(self)  # type: ignore[attr-defined]
        return first, last + SPARE


class Order(NamedTuple):
    """An order of work. ready, later: when tools are there, and by how many seconds supplies come later, if all goes as
    it counts on; common: batches that may be worked on before `known`, None: all."""

    rows: dict[str, list[Lot]]
    service: list[str]
    ready: dict[str, int]
    later: dict[tuple[str, str], int]
    common: frozenset[str] | None
    known: int


class Likely(NamedTuple):
    """An order of work as it goes if all goes as it counts on."""

    order: Order
    worked: Worked
    there: dict[str, int]
    money: float


def check(case: Case, said: Expected, notes: Findings) -> None:
    """Time scenarios anew and compare what they cost."""
    why = not_told(case, said)
    if why is not None:
        notes.left_out(f"no scenario is timed anew: {why}")
        return
    try:
        anew = Anew(case, said)
    except (CannotBeDone, CannotTell):
        notes.left_out("no scenario is timed anew: a purge or an hour of the plan is not worked out by the auditor")
        return
    if anew.astray is not None:
        notes.left_out(f"no scenario is timed anew: the plan itself comes to {anew.astray:.2f} when it is")
        return
    size = len(case.works) + len(case.plan.batches) + len(case.plan.assembly)
    size *= AGAIN if said.policy == "plan again" else 1
    number = max(2, min(TWENTY, MOST_WORK // max(1, size)))
    every = range(0, len(said.costs), max(1, len(said.costs) // number))[:number]
    timed = sum(_compared(anew, k, said.costs[k], notes) for k in every)
    if timed < len(every):
        notes.left_out(f"{timed} of {len(every)} scenarios could be timed anew")


def _compared(anew: "Anew", k: int, stated: float | None, notes: Findings) -> bool:
    """Whether a scenario could be timed anew; then it costs what is stated, or cannot be carried out either."""
    cost: float | None = None
    try:
        cost = anew.cost(k)
    except CannotTell:
        return False
    except CannotBeDone:
        pass
    if cost is None or stated is None:
        words = ["cannot be carried out" if one is None else f"costs {one:.2f}" for one in (stated, cost)]
        notes.expect(cost is stated, f"scenario {k + 1}, as stated, {words[0]}; timed anew it {words[1]}")
    else:
        notes.expect(
            abs(cost - stated) <= max(MONEY, SLACK * abs(cost)),
            f"scenario {k + 1} is said to cost {stated:.2f}; timed anew it costs {cost:.2f}",
        )
    return True


def not_told(case: Case, said: Expected) -> str | None:
    """Why none is timed anew; None: they can be."""
    reasons = {
        "it was made before scenarios were followed by S4.4": said.followed_by == "",
    }
    return next((reason for reason, so in reasons.items() if so), None)


class Anew:
    """The plan's orders of work, ready to be followed through scenarios."""

    def __init__(self, case: Case, said: Expected) -> None:
        self.case = LongCase(case.campaign, case.plan)
        self.said = said
        self.shops: dict[frozenset[str], Presses] = {}
        self.presses, self.benches = self._shop({}), Benches(self.case)
        self.supply = supplies(self.case, self.case.works)
        self.counting, self.on_top = _counting(self.case), OnTop(self.case, said.seed)
        lines = {line.what: line.amount for line in case.plan.costs}
        fixed = sum(amount for what, amount in lines.items() if what not in VARIES)
        # what whole bags leave over varies, what whole packs of pieces leave over does not
        self.fixed = fixed - lines.get("unused minimum orders", 0.0) + pieces_left(case)
        plan = self._plan_order(_ready(self.case), {})
        self.plan = self._likely(plan, {})
        total = case.plan.outcome.total
        slack = MONEY * max(1, len(case.plan.costs))
        self.astray = None if same(self.plan.money, total, slack) else self.plan.money
        told = said.branches
        either_way = [] if told is None or told.same else told.branches
        self.branches = [self._branch_order(one) for one in either_way]
        self.likely: dict[tuple[int, frozenset[str]], Likely] = {(id(plan), frozenset()): self.plan}
        self.arrivals: dict[tuple[int, frozenset[str]], Arrivals] = {}

    def cost(self, k: int) -> float:
        """What a scenario costs."""
        recipes, order = recipes_in(self.case.campaign, self.said.seed, k), self._order_in(k)
        key = id(order), _key(recipes)
        if key not in self.likely:
            self.likely[key] = self._likely(order, recipes)
        return self._followed(self.likely[key], drawn(self.case, self.said.seed, k), recipes)

    def _shop(self, recipes: dict[str, Recipe]) -> Presses:
        """The presses where colours have these recipes."""
        key = _key(recipes)
        if key not in self.shops:
            case = self.case
            there = LongCase(_as_ordered(recoloured(case.campaign, recipes)), case.plan) if recipes else case
            self.shops[key] = Presses(there)
        return self.shops[key]

    # -- orders of work ------------------------------------------------------------------------------------------------

    def _plan_order(self, ready: dict[str, int], later: dict[tuple[str, str], int]) -> Order:
        rows: dict[str, list[Lot]] = defaultdict(list)
        pinned = {name: self._pinned(name) for name in self.case.campaign.presses}
        before: dict[str, Work] = {}
        places: Counter[str] = Counter()
        for n, work in enumerate(self.case.works):
            press, put_off = work.run.press, work.run.not_before
            row, last = rows[press], before.get(press)
            if last is not None and self._goes_on(last, last.production[-1][1], work, work.begin):
                row[-1] = replace(row[-1], shots=row[-1].shots + work.run.shots)
            else:
                release = 0 if put_off is None else self.case.clock.second(put_off)
                row.append(Lot(n, work, work.run.shots, release, places[press] < pinned[press]))
            before[press] = work
            places[press] += 1
        service = [batch.id for batch in sorted(self.case.plan.batches, key=lambda one: one.served)]
        return Order(dict(rows), service, ready, later, None, 0)

    def _goes_on(self, before: Work, end: int, work: Work, begin: int) -> bool:
        """Whether a run is what others broke off of the run before it, whose last shot was done then."""
        return goes_on(self.case, before, end, work, begin) and self.presses.breaks_off(before, end)

    def _pinned(self, press: str) -> int:
        """How many runs at the head of a press are the maker's."""
        runs, found = self.case.by_press.get(press, []), 0
        for started in self.case.campaign.presses[press].begins_with:
            if found < len(runs):
                work = runs[found]
                found += (work.run.tool, list(work.colours)) == (started.tool, started.colours)
        return found

    def _branch_order(self, branch: Branch) -> Order:
        case, told = self.case, self.said.branches
        assert told is not None
        later = likely_later(case.campaign, told.thing, branch.id)
        ready = _ready(case, {name: days for (kind, name), days in later.items() if kind == "tool"})
        days = {(kind, name): n * 86400 for (kind, name), n in later.items() if kind != "tool"}
        known = known_at(case, told.thing)
        alike: dict[tuple[str, ...], Work] = {(w.run.press, w.run.tool, *w.run.melts): w for w in case.works}
        rows: dict[str, list[Lot]] = defaultdict(list)
        put_off = {
            (w.run.press, w.run.tool, *w.run.melts, w.run.shots): case.clock.second(w.run.not_before)
            for w in case.works
            if w.run.not_before is not None
        }
        ended: dict[str, int] = {}
        for n, run in enumerate(branch.runs):
            key = (run.press, run.tool, *run.melts)
            work = alike.get(key) or self._moved(run.press, run.tool, tuple(run.melts))
            release = 0 if run.common else known
            if run.common or branch is told.branches[0]:  # the first is the plan, which may wait on purpose
                release = max(release, put_off.get((*key, run.shots), 0))
            row, begin = rows[run.press], case.clock.second(run.begin)
            if row and self._goes_on(row[-1].work, ended[run.press], work, begin):
                row[-1] = replace(row[-1], shots=row[-1].shots + run.shots)
            else:
                row.append(Lot(n, work, run.shots, release, run.common))
            ended[run.press] = case.clock.second(run.end)
        common = frozenset(batch.batch for batch in branch.batches if batch.common)
        return Order(dict(rows), [batch.batch for batch in branch.batches], ready, days, common, known)

    def _moved(self, press: str, tool: str, melts: tuple[str, ...]) -> Work:
        """The plan's run of that tool and those melts, put on another press."""
        for work in self.case.works:
            if (work.run.tool, tuple(work.run.melts)) == (tool, melts):
                if self.presses.closing(work) is not None:
                    raise CannotTell
                moved = self.case.read(work.run.model_copy(update={"press": press}))
                if moved is not None:
                    return moved
        raise CannotTell

    def _likely(self, order: Order, recipes: dict[str, Recipe]) -> Likely:
        shop = self._shop(recipes)
        late = {name: seconds for (kind, name), seconds in order.later.items() if kind == "piece"}
        coming = Coming(self.counting, late)
        worked = shop.walked(order.rows, World(order.ready, self._supply(order.later), None, None, coming), None)
        things = Things(coming, {}, 0, order.common, order.known)
        left, there = self.benches.left(order.service, worked, things, None)
        return Likely(order, worked, there, self.fixed + worked.money + left.money)

    def _supply(self, later: dict[tuple[str, str], int]) -> dict[Material, list[tuple[int, float]]]:
        found = {}
        for material, steps in self.supply.items():
            kind, name = material
            late = later.get(("colour" if kind == "masterbatch" else kind, name), 0)
            found[material] = [steps[0], *((max(self.case.start, at + late), kg) for at, kg in steps[1:])]
        return found

    # -- scenarios -----------------------------------------------------------------------------------------------------

    def _followed(self, likely: Likely, scenario: Scenario, recipes: dict[str, Recipe]) -> float:
        case, order = self.case, likely.order
        ready = {
            name: max(case.start, at + scenario.ready.get(name, 0)) for name, at in self.plan.order.ready.items()
        }  # fmt: skip
        later = {("colour" if kind == "masterbatch" else kind, name): s for (kind, name), s in scenario.supply.items()}
        counting, more, melt = self._shots(likely, scenario)
        rows = {
            press: [replace(lot, shots=lot.shots + more.get(lot.number, 0)) for lot in lots]
            for press, lots in order.rows.items()
        }
        coming = Coming(counting, scenario.piece)
        world = World(ready, self._supply(later), scenario, None, coming)
        worked = self._worked(likely, rows, world, coming, recipes)
        things = Things(coming, scenario.bench, scenario.carrier, order.common, order.known)
        left, _ = self.benches.left(order.service, worked, things, likely.there)
        return self.fixed + worked.money + left.money + melt + self._labour(scenario) + self.on_top.of(scenario.number)

    def _worked(
        self, likely: Likely, rows: dict[str, list[Lot]], world: World, coming: Coming, recipes: dict[str, Recipe]
    ) -> Worked:
        """The presses of a scenario under the policy that is stated."""
        shop, order = self._shop(recipes), likely.order
        begins = {number: made.begin for number, made in likely.worked.made.items()}
        if self.said.policy != "plan again":
            return shop.walked(rows, world, begins if self.said.policy == "first ready" else None)
        likely_late = {name: seconds for (kind, name), seconds in order.later.items() if kind == "piece"}

        def value(worked: Worked, believed: Coming) -> float:
            things = Things(believed, {}, 0, order.common, order.known)
            left, _ = self.benches.left(order.service, worked, things, None)
            unkept = broken(self.case, shop.waits.wishes, worked)
            if unkept and self.fixed > MOST:
                raise CannotTell  # what a wish weighs goes by what every plan costs
            return worked.money + left.money + TIE * (left.mean - self.case.start) / 86400 + WISH * unkept

        told = Told(
            world,
            World(order.ready, self._supply(order.later), None),
            begins,
            {lot.number: lot.shots for lot in _lots(order)},
            coming,
            Coming(self.counting, likely_late),
            self._arrivals(order, recipes),
            Fitting(shop).moved,
            value,
        )
        return planned_again(self.case, shop, rows, told)

    def _arrivals(self, order: Order, recipes: dict[str, Recipe]) -> Arrivals:
        """When tools are ready in all scenarios of the same branch and recipes."""
        case, said = self.case, self.said
        key = id(order), _key(recipes)
        if key not in self.arrivals:
            found: dict[str, list[int]] = {name: [] for name in self.plan.order.ready}
            for k in range(len(said.costs)):
                if self._order_in(k) is order and _key(recipes_in(case.campaign, said.seed, k)) == key[1]:
                    late = ready_late(case, said.seed, k)
                    for name, at in self.plan.order.ready.items():
                        found[name].append(max(case.start, at + late.get(name, 0)))
            self.arrivals[key] = Arrivals(found)
        return self.arrivals[key]

    def _order_in(self, k: int) -> Order:
        """The order of work that is followed in a scenario."""
        turned = self.said.branches
        return self.plan.order if turned is None or turned.same else self.branches[turned.turned[k]]

    def _asked(self, item: Item, tool: str) -> int:
        """Good parts, tests included, that a tool makes of an item."""
        case, need = self.case, self.case.needs.get(item)
        if need is None or not need.to_mould:
            return 0
        if not is_shared(case, item[0]):
            return need.to_mould + need.tests
        own = counts_with(case, item)[tool]
        return own + dealt_out(case, item, need.tests)[tool] if own else 0

    def _labour(self, scenario: Scenario) -> float:
        """What work at the benches costs more than planned."""
        campaign, money = self.case.campaign, 0.0
        batches = self.benches.batches.values()
        seconds = {
            "assembly": (sum(job.work for one in batches for job in one.jobs), campaign.assembly.rate_per_hour),
            "packing": (sum(one.work for one in batches), campaign.packing.rate_per_hour),
        }
        for bench, (work, rate) in seconds.items():
            money += (scenario.bench.get(bench, 1.0) - 1) * work / 3600 * rate
        return money

    def _shots(self, likely: Likely, scenario: Scenario) -> tuple[Counting, dict[int, int], float]:
        """Shots until what a tool makes of each item is good; more shots of lots, each demand's on the lot that ends
        last; and what their melt costs."""
        case, counting = self.case, dict(self.counting)
        if not scenario.scrap:
            return counting, {}, 0.0
        planned: Counter[tuple[str, tuple[str, ...]]] = Counter()
        last: dict[tuple[str, tuple[str, ...]], Lot] = {}
        made = likely.worked.made
        for lot in _lots(likely.order):
            planned[lot.demand] += lot.shots
            other = last.get(lot.demand)
            if other is None or (made[lot.number].free, lot.number) >= (made[other.number].free, other.number):
                last[lot.demand] = lot
        more: dict[int, int] = {}
        money = 0.0
        for demand, lot in last.items():
            scrap = scenario.scrap.get(lot.tool)
            if scrap is None:
                continue
            shots = planned[demand]
            for item in case.items_of(lot.work):
                asked = self._asked(item, lot.tool)
                if asked == 0:
                    continue
                name = f"scrap of {item[0]} {'/'.join(item[1])}"
                if is_shared(case, item[0]):
                    name += f" with {lot.tool}"
                z = normal(uniform(scenario.seed, name, scenario.number))
                spoils = float(spoilt(case.campaign, item[0]))
                bad = 1 - (1 - scrap) * (1 - spoils) if spoils else scrap
                parts = max(float(asked), (asked + z * sqrt(asked * bad)) / (1 - bad))
                counting[item, lot.tool] = ceil(parts / open_cavities(lot.work.tool, item[0]))
                shots = max(shots, counting[item, lot.tool])
            if shots > planned[demand]:
                more[lot.number] = shots - planned[demand]
                money += more[lot.number] * sum(
                    float(grams) / 1000 * price_of(case.campaign, melt)
                    for grams, melt in zip(lot.work.shot_g, lot.work.melts, strict=True)
                )
        return counting, more, money


def _counting(case: Case) -> Counting:
    """Shots of each tool until what it makes of each item is good, as planned."""
    found: Counting = {}
    for work in case.works:
        for item in case.items_of(work):
            need = case.needs.get(item)
            if need is not None and need.to_mould:
                shared = is_shared(case, item[0])
                found[item, work.run.tool] = shots_with(case, item)[work.run.tool] if shared else case.shots_alone(item)
    return found


def _as_ordered(campaign: Campaign) -> Campaign:
    """The campaign in which orders stay those of the plan: what they come to is in its prices already (S10.3)."""
    none: dict[str, object] = {"price_breaks": []}
    return campaign.model_copy(
        update={
            "resins": {name: one.model_copy(update=none) for name, one in campaign.resins.items()},
            "colours": {name: one.model_copy(update=none) for name, one in campaign.colours.items()},
        }
    )


def _key(recipes: dict[str, Recipe]) -> frozenset[str]:
    return frozenset(f"{name} {recipe.model_dump_json()}" for name, recipe in recipes.items())


def _lots(order: Order) -> list[Lot]:
    return [lot for row in order.rows.values() for lot in row]


def _ready(case: Case, later: dict[str, int] | None = None) -> dict[str, int]:
    """When each tool is there, some of them so many days later at the same time by the clock on the wall."""
    found = {}
    for name, at in case.ready.items():
        days = (later or {}).get(name, 0)
        found[name] = case.start if at is None else max(case.start, case.clock.at(at + timedelta(days=days)))
    return found
