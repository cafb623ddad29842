"""The two documents side by side: what the rules look up again and again, read once.

Only readings are here (masses of a shot, seconds of a moment, order of work); every rule has its own file.
"""

from collections import Counter, defaultdict
from collections.abc import Callable, Hashable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from fractions import Fraction
from functools import cached_property
from typing import Any, NamedTuple, TypeVar, cast

from planner.audit.chance import Wanted, fewest, law_of
from planner.audit.figures import exact, whole_up
from planner.audit.moments import Clock
from planner.audit.needs import Item, Need, items_in, needs, spoilt
from planner.audit.opening import Openings, Shift, people_there, shifts
from planner.audit.others import Theirs, ours_and_theirs
from planner.audit.people import Manned, alone_seconds, manned
from planner.audit.places import as_run, local_calendar
from planner.audit.tool_steps import ready_days
from planner.audit.weight_prices import at_order_prices
from planner.campaign import Campaign
from planner.campaign.benches import Bench
from planner.campaign.hours import Open
from planner.campaign.presses import Press
from planner.campaign.tools import Tool
from planner.plan.document import Assembly, FinishingJob, PackBatch, Run, RunPlan, Stretch

Known = TypeVar("Known")
HORIZON = timedelta(days=8000)
"""No moment of a plan is believed that lies further than this from the campaign's start: what comes last may come after
ten years, and as much work after it."""


@dataclass(frozen=True)
class Work:
    """A run of the plan with what the campaign says of its tool and press. Moments in UTC seconds.

    begin: changeover, or where there is none the first stretch; production: from when to when shots are
    made, restarts and closings left out; melts: (resin, colour) per barrel; shot_g: grams of
    melt one shot takes from each barrel, runner included; runner_g, hot_kg: runner and hot runner per barrel;
    shot, purge_shot: seconds at the press's efficiency.
    """

    run: Run
    tool: Tool
    press: Press
    begin: int
    end: int
    production: tuple[tuple[int, int], ...]
    melts: tuple[tuple[str, str], ...]
    shot_g: tuple[Fraction, ...]
    runner_g: tuple[Fraction, ...]
    hot_kg: tuple[Fraction, ...]
    shot: Fraction
    purge_shot: Fraction

    @property
    def barrels(self) -> int:
        return len(self.melts)

    @property
    def colours(self) -> tuple[str, ...]:
        return tuple(colour for _, colour in self.melts)

    def __str__(self) -> str:
        return f"run {self.run.id} (`{self.run.tool}` on `{self.run.press}`)"


class Asked(NamedTuple):
    """A purge that what was there before and what comes ask for: in which barrel or hot runner, from melt to melt."""

    where: str
    barrel: int
    held: str
    comes: str

    def __str__(self) -> str:
        return f"{self.where} {self.barrel} from {self.held} to {self.comes}"


class Case:
    """One campaign and one plan under audit."""

    def __init__(self, campaign: Campaign, plan: RunPlan) -> None:
        self.as_given, self.plan = campaign, plan
        campaign = as_run(campaign, plan)
        self.campaign = campaign
        self.clock = Clock(campaign.time_zone)
        self.start = self.clock.at(campaign.start)
        self.needs: dict[Item, Need] = needs(campaign)
        self.unreadable: list[str] = []
        self._shots_alone: dict[Item, int] = {}
        self.returns: dict[Item, Any] = {}
        """Item -> its lots that travel, as `planner.audit.finishing` reads them."""
        self.bench_jobs: dict[str, dict[str, FinishingJob]] = defaultdict(dict)
        """Assembly job -> bench -> its work on the parts."""
        self._items_in: dict[tuple[str, str], Counter[Item]] = {}
        self._known: dict[Hashable, object] = {}
        works = [work for run in plan.runs if (work := self.read(run))]
        self.works = sorted(works, key=lambda w: (w.begin, w.run.press, w.end))
        """Runs in order of start, over all presses."""
        self.campaign = at_order_prices(campaign, works)
        for item, number in self.into_moulds().items():
            self.needs[item] = replace(self.needs.get(item, Need(0, 0, 0)), taken=number)

    def into_moulds(self) -> Counter[Item]:
        """Parts that go into moulds over all shots of all runs."""
        found: Counter[Item] = Counter()
        for work in self.works:
            for item, number in parts_at(self.campaign, work).items():
                found[item] += number
        return found

    def once(self, key: Hashable, work_out: Callable[[], Known]) -> Known:
        """What `work_out` gives, worked out at the first question with that key."""
        if key not in self._known:
            self._known[key] = work_out()
        return cast(Known, self._known[key])

    @cached_property
    def moulding_due(self) -> bool:
        """Whether anything has to be moulded at all."""
        return any(need.to_mould for need in self.needs.values())

    @cached_property
    def ready(self) -> dict[str, date | datetime | None]:
        """Tool -> day or moment from which it can be mounted; None: from the start."""
        return ready_days(self.campaign)

    @cached_property
    def by_press(self) -> dict[str, list[Work]]:
        """Press -> its runs in order of start."""
        found: dict[str, list[Work]] = defaultdict(list)
        for work in self.works:
            found[work.run.press].append(work)
        return dict(found)

    @cached_property
    def by_item(self) -> dict[Item, list[Work]]:
        """Item -> the runs whose tool makes it, in order of start."""
        found: dict[Item, list[Work]] = defaultdict(list)
        for work in self.works:
            for item in self.items_of(work):
                found[item].append(work)
        return dict(found)

    def items_of(self, work: Work) -> list[Item]:
        """The items every shot of the run makes: each part of the tool with a cavity open."""
        return [
            (part, work.colours[: len(self.campaign.parts[part].barrels)])
            for part in work.tool.cavities
            if open_cavities(work.tool, part)
        ]

    def tool_of(self, part: str) -> Tool | None:
        """The one tool that makes the part."""
        return self._tool_of.get(part)

    @cached_property
    def _told_alone(self) -> dict[Item, int]:
        return {(line.part, tuple(line.colours)): line.counting_shots for line in self.plan.balance}

    @cached_property
    def _tool_of(self) -> dict[str, Tool]:
        return {part: tool for tool in reversed(self.campaign.tools.values()) for part in tool.cavities}

    def shots_alone(self, item: Item) -> int:
        """Shots the item alone would ask for; 0: nothing to mould, or no tool with a cavity open."""
        if item not in self._shots_alone:
            need, tool = self.needs.get(item), self.tool_of(item[0])
            cavities = open_cavities(tool, item[0]) if tool else 0
            good = need.to_mould + need.tests if need else 0
            self._shots_alone[item] = (
                fewest(
                    law_of(self.campaign, tool),
                    Wanted(good, cavities, tool.scrap_share, spoilt(self.campaign, item[0])),
                    self.campaign.confidence,
                    self._told_alone.get(item, 0),
                )
                if good and tool and cavities
                else 0
            )
        return self._shots_alone[item]

    def items_in(self, product: str, colourway: str) -> Counter[Item]:
        """Item -> parts in one unit, as `needs.items_in`; to be read only."""
        if (product, colourway) not in self._items_in:
            self._items_in[product, colourway] = items_in(self.campaign, product, colourway)
        return self._items_in[product, colourway]

    @cached_property
    def rest_seconds(self) -> dict[str, int]:
        """Part -> seconds it rests after moulding before it may be used."""
        return {name: whole_up(exact(part.rest_hours) * 3600) for name, part in self.campaign.parts.items()}

    @cached_property
    def openings(self) -> dict[str, Openings]:
        """Press -> its open stretches."""
        return {
            name: Openings([Shift(one.start, one.end, 1) for one in stretches])
            for name, stretches in self.manned.items()
        }

    @cached_property
    def manned(self) -> dict[str, list[Manned]]:
        """Press -> when it may work, and until when somebody is there. Nothing runs on alone into the campaign's start:
        what people left the day before does not count."""
        people = self.campaign.floor.attended
        there = None if people is None else self.shifts_of(people)
        found = {}
        for name, press in self.campaign.presses.items():
            ours = self._not_wished_free(name, self._hours[name][0])
            here = there if press.place is None else None
            stretches = manned(ours, here, alone_seconds(self.campaign, name))
            found[name] = [one for one in stretches if one.hands > self.start]
        return found

    def _not_wished_free(self, press: str, stretches: list[tuple[int, int]]) -> list[tuple[int, int]]:
        """What is left of a press's stretches outside the days that wishes, which the plan says it keeps, want free."""
        kept = {line.wish for line in self.plan.wishes if line.kept}
        for n, wish in enumerate(self.campaign.wishes):
            if n not in kept or wish.press != press or wish.free_from is None:
                continue
            begin, last = self.clock.at(wish.free_from), wish.free_until or wish.free_from
            day_after = last if isinstance(last, datetime) else last + timedelta(days=1)
            end = self.clock.at(day_after)
            cut = [(a, b) for start, stop in stretches for a, b in ((start, min(stop, begin)), (max(start, end), stop))]
            stretches = [(a, b) for a, b in cut if b > a]
        return stretches

    @property
    def theirs(self) -> dict[str, list[Theirs]]:
        """Press -> when others work on it."""
        return {name: theirs for name, (_, theirs) in self._hours.items()}

    @cached_property
    def _hours(self) -> dict[str, tuple[list[tuple[int, int]], list[Theirs]]]:
        """Press -> its own open stretches, and when others work on it."""
        horizon = self.clock.at(self._days[1] + timedelta(days=1))
        return {
            name: ours_and_theirs(
                Openings(self._shifts_at(press, press)).stretches,
                press,
                [self._shifts_at(press, others) for others in press.others],
                self.start,
                horizon,
            )
            for name, press in self.campaign.presses.items()
        }

    def shifts_of(self, place: Open, people: int = 1) -> list[Shift]:
        """When a press or bench is open and with how many people, from before the campaign to well after the plan."""
        first, last = self._days
        clock, closed = self.clock, self.campaign.closed_days
        if isinstance(place, Bench):
            clock, closed = local_calendar(self.campaign, place, self.clock)
        return people_there(shifts(place, closed, clock, first, last, people))

    def _shifts_at(self, press: Press, open_: Open) -> list[Shift]:
        """When a press is open, or others have it, by the clock and the holidays of where it stands."""
        first, last = self._days
        clock, closed = local_calendar(self.campaign, press, self.clock)
        return people_there(shifts(open_, closed, clock, first, last))

    @cached_property
    def dryers_served(self) -> list[tuple[int, int]]:
        """From when to when (UTC seconds) somebody is there to fill dryers, up to five minutes before they leave, some
        days before the campaign as well; empty: always."""
        people = self.campaign.floor.attended
        if people is None:
            return []
        first, last = self._days
        found = shifts(people, self.campaign.closed_days, self.clock, first - timedelta(days=20), last)
        there = Openings(found).stretches
        return [(start, max(start, end - 300)) for start, end in there]

    def dryers_served_for(self, resin: str) -> list[tuple[int, int]]:
        """The same for a resin's dryer; empty too where the resin is moulded at another place, which sees to it."""
        elsewhere = any(work.press.place is not None and resin in dict(work.melts) for work in self.works)
        return [] if elsewhere else self.dryers_served

    @cached_property
    def _days(self) -> tuple[date, date]:
        plan, first = self.plan, self.campaign.start.date() - timedelta(days=1)
        moments: list[datetime] = [run.end for run in plan.runs] + [sent.at for sent in plan.dispatches]
        moments += [job.end for job in plan.assembly] + [batch.end for batch in plan.batches]
        latest = max((self.clock.day(self.clock.second(moment)) for moment in moments), default=first)
        return first, min(latest, first + HORIZON) + timedelta(days=10)

    @property
    def last_day(self) -> date:
        """The last day for which hours are known."""
        return self._days[1]

    def jobs_of(self, batch: PackBatch) -> list[Assembly]:
        """Assembly jobs done for a pack batch."""
        return self._jobs.get(batch.id, [])

    @cached_property
    def _jobs(self) -> dict[str, list[Assembly]]:
        found: dict[str, list[Assembly]] = defaultdict(list)
        for job in self.plan.assembly:
            found[job.batch].append(job)
        return found

    @cached_property
    def bought_arrives(self) -> dict[int, int]:
        """Lead days -> second at which something ordered at the start is at the door."""
        leads = {
            bought.lead_days
            for section in (self.campaign.resins, self.campaign.colours, self.campaign.pieces)
            for bought in section.values()
            if bought.lead_days is not None
        }
        compound = self.campaign.purging.compound
        if compound is not None and compound.lead_days is not None:
            leads.add(compound.lead_days)
        return {days: self.clock.at(self.campaign.start + timedelta(days=days)) for days in leads}

    def read(self, run: Run) -> Work | None:
        """The run with what the campaign says of its tool and press; None where that cannot be read."""
        campaign, clock = self.campaign, self.clock
        tool, press = campaign.tools.get(run.tool), campaign.presses.get(run.press)
        if tool is None or press is None:
            self.unreadable.append(f"run {run.id}: the campaign has no tool `{run.tool}` or no press `{run.press}`")
            return None
        made_of = [campaign.parts[part].barrels for part in tool.cavities]
        barrels = max(len(part) for part in made_of)
        melts = tuple((resin, colour) for resin, _, colour in (melt.rpartition("/") for melt in run.melts))
        known = all(resin in campaign.resins and colour in campaign.colours for resin, colour in melts)
        if len(melts) != barrels or not known:
            self.unreadable.append(
                f"run {run.id}: `{run.tool}` takes {barrels} melt{'s' if barrels > 1 else ''} the campaign knows, "
                f"the plan gives {', '.join(run.melts) or 'none'}"
            )
            return None
        runner = tuple(exact(tool.runner_g[k]) if k < len(tool.runner_g) else Fraction(0) for k in range(barrels))
        parts = [
            sum(
                (
                    open_cavities(tool, part) * exact(campaign.parts[part].barrels[k].mass_g)
                    for part in tool.cavities
                    if k < len(campaign.parts[part].barrels)
                ),
                Fraction(0),
            )
            for k in range(barrels)
        ]
        efficiency = exact(press.efficiency)
        return Work(
            run=run,
            tool=tool,
            press=press,
            begin=clock.second(_first_work(run)),
            end=clock.second(run.end),
            production=tuple(
                (clock.second(stretch.start) + stretch.restart_seconds, clock.second(stretch.end) - closing_of(stretch))
                for stretch in run.stretches
            ),
            melts=melts,
            shot_g=tuple(mass + waste for mass, waste in zip(parts, runner, strict=True)),
            runner_g=runner,
            hot_kg=tuple(
                exact(tool.hot_runner_kg[k]) if k < len(tool.hot_runner_kg) else Fraction(0) for k in range(barrels)
            ),
            shot=exact(tool.cycle_s) / efficiency,
            purge_shot=exact(tool.purge_cycle_s or tool.cycle_s) / efficiency,
        )


def closing_of(stretch: Stretch) -> int:
    """Seconds at a stretch's end in which a melt that must not stand is cleared."""
    return stretch.closing.seconds if stretch.closing else 0


def _first_work(run: Run) -> datetime:
    """When anything of the run begins: changeover, else its first stretch, restart included."""
    if run.changeover:
        return run.changeover.start
    return run.stretches[0].start if run.stretches else run.start


def parts_at(campaign: Campaign, work: Work) -> Counter[Item]:
    """Parts that go into the mould over all shots of a run, start-up shots left out."""
    found: Counter[Item] = Counter()
    for part in work.tool.cavities:
        over = campaign.parts[part].moulded_over
        for one in over.parts if over else []:
            found[one.part, tuple(one.colours)] += one.number * open_cavities(work.tool, part) * work.run.shots
    return found


def pieces_at(campaign: Campaign, work: Work) -> Counter[str]:
    """Bought-in pieces that go into the mould over all shots of a run."""
    found: Counter[str] = Counter()
    for part in work.tool.cavities:
        over = campaign.parts[part].moulded_over
        for piece, number in over.pieces.items() if over else []:
            found[piece] += number * open_cavities(work.tool, part) * work.run.shots
    return found


def open_cavities(tool: Tool, part: str) -> int:
    """Cavities of the part that are not blocked."""
    return max(0, tool.cavities[part] - tool.blocked_cavities.get(part, 0))
