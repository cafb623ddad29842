"""Why a plan is as it is, as a part of its document."""

from datetime import datetime

from planner.demand.finishing import visits
from planner.plan.benches import batch_ids, job_ids, pickup_ids
from planner.plan.binding import Busy, Link, RunWait, TierChain, Why, Worth
from planner.plan.finishing import finishing_ids
from planner.plan.kept_back import OVER, kept_back_by
from planner.schedule import timing as w
from planner.schedule.encode import Names
from planner.schedule.encode.goods import Opening
from planner.schedule.instance import Instance
from planner.schedule.solution import Solution
from planner.schedule.timing import Timing
from planner.why.chains import Chains, Stretch
from planner.why.hours import hours_of
from planner.why.loads import Load, loads, waits
from planner.why.marginal_value import More, marginal_values
from planner.why.starts import causes
from planner.why.words import busy_words, chain_words, worth_words
from planner.wording import short_day, short_moment

MOST_SAID = 9
"""Waits of a chain told in words; its links have them all."""

WAITS = ("", "tool ready", "tool elsewhere", "material", "setter", "press hours", "dryer", "wish", "operators")
WAITED = dict(zip(w.WAITED_FOR, WAITS, strict=True))


def why(inst: Instance, names: Names, solution: Solution, timing: Timing) -> Why:
    """What binds the plan. timing: of the solution, as evaluated last."""
    telling = _Telling(inst, names, timing)
    busy = [telling.busy(load) for load in loads(inst, timing) if load.available_s]
    chains = telling.chains()
    more = telling.worth(solution)
    words = " ".join(
        [busy_words(busy), *(chain.words for chain in chains[:1]), worth_words(more, names.campaign.currency)]
    )
    return Why(busy=busy, waits=telling.waits(), chains=chains, worth=more, words=words.strip())


class _Telling:
    def __init__(self, inst: Instance, names: Names, timing: Timing) -> None:
        self.inst, self.names, self.timing = inst, names, timing
        self.run_ids = {int(lot): f"run-{n}" for n, lot in enumerate(timing.lots[:, w.ORDER], start=1)}
        self.finishing_ids = finishing_ids(inst, timing)
        self.benches = list(names.campaign.finishing_benches)
        self.batch_ids, self.job_ids, self.pickup_ids = batch_ids(timing), job_ids(timing), pickup_ids(timing)
        self.causes = causes(inst, timing)

    def at(self, second: int) -> datetime:
        return self.names.clock.moment(second)

    def busy(self, load: Load) -> Busy:
        named = {"press": self.names.presses, "tool": self.names.tools, "finishing": self.benches}.get(load.kind)
        return Busy(
            kind=load.kind,
            name=named[load.index] if named else load.kind,
            busy_hours=load.busy_s / 3600,
            open_hours=load.available_s / 3600,
            share=load.share,
        )

    def waits(self) -> list[RunWait]:
        return [
            RunWait(
                run=self.run_ids[wait.lot],
                press=self.names.presses[wait.press],
                since=self.at(wait.since),
                until=self.at(wait.until),
                waited_for=self._word(wait.lot, wait.waited_for),
                words=f"{self.run_ids[wait.lot]} waits for {self._for(wait.lot, wait.waited_for)} until "
                f"{short_moment(self.at(wait.until))}",
            )
            for wait in waits(self.inst, self.timing)
        ]

    def _word(self, lot: int, kind: str) -> str:
        """What a lot waited for, as the list of waits calls it."""
        over = kind == "wish" and kept_back_by(self.inst, self.timing, lot) == OVER
        return "moulded over" if over else WAITED[kind]

    def _for(self, lot: int, word: str) -> str:
        """The thing a lot waited for, named."""
        tool = self.names.tools[self.inst.run_tool[self.inst.lot_run[lot]]]
        if word == "ready":
            return f"tool {tool}"
        if word == "hours":
            return f"press {self.names.presses[self.timing.lots[lot, w.PRESS]]} to open, or to be open long enough,"
        if word == "wish":
            return kept_back_by(self.inst, self.timing, lot)
        cause = max((c for c in self.causes[lot] if c.kind == word), key=lambda c: c.until)
        if word == "dryer":
            return f"dryer {self.dryer(lot)}, which {self.run_ids[cause.of]} draws from,"
        if word == "material":
            return " ".join(self.names.materials[cause.of])
        other = self.run_ids[cause.of]
        held = self.names.tools[self.inst.run_tool[self.inst.lot_run[cause.of]]]
        if word == "tool" and held != tool:
            return f"the base of tool {tool}, at {other},"
        whose = {"tool": f"tool {tool}, at", "setter": "a setter, busy at", "operators": "the people who stay at"}
        return f"{whose[word]} {other},"

    def dryer(self, lot: int) -> str:
        """The dryer that a lot draws from; of two the first."""
        of_run = self.inst.run_dryer[self.inst.lot_run[lot]]
        return self.names.dryers[int(of_run[of_run >= 0][0])]

    def chains(self) -> list[TierChain]:
        """One for each tier: that of its batch to leave last; of those on one pick-up, the one packed last."""
        following = Chains(self.inst, self.timing, self.causes)
        rows, found = self.timing.batches, []
        for tier in self.names.campaign.tiers:
            mine = [b for b, batch in enumerate(self.names.batches) if batch.tier == tier]
            if not mine:
                continue
            last = max(mine, key=lambda b: (rows[b, w.PICKUP], rows[b, w.ENDED], -b))
            links = following.of(last)
            leaves = self.at(int(self.inst.pickup_t[rows[last, w.PICKUP]]))
            told = [self._link(link, last) for link in links]
            hours = hours_of(self.inst, self.names, self.timing, links)
            found.append(
                TierChain(
                    tier=tier,
                    batch=self.batch_ids[last],
                    last_dispatch=leaves,
                    links=told,
                    hours=hours,
                    words=chain_words(tier, leaves, self._said(told), hours),
                )
            )
        return sorted(found, key=lambda chain: (-chain.last_dispatch.timestamp(), chain.tier))

    def _link(self, link: Stretch, batch: int) -> Link:
        benches = {"packing": self.batch_ids, "assembly": self.job_ids, "finishing": self.finishing_ids}
        ids = benches.get(link.kind)
        opening = link.kind == "piece" and isinstance(self.names.goods[link.number], Opening)
        return Link(
            kind="orders open" if opening else link.kind,
            of=self.batch_ids[batch] if opening else self._named(link, batch),
            since=self.at(link.since),
            until=self.at(link.until),
            back_to=ids[link.back_to] if ids else None,
        )

    def _named(self, link: Stretch, batch: int) -> str:
        names = self.names
        match link.kind:
            case "pick-up":
                return self.pickup_ids.get(link.number, self.batch_ids[batch])
            case "carried" if link.number < 0:
                return self.finishing_ids[-1 - link.number]
            case "pick-up full" | "wave before" | "packing" | "carried":
                return self.batch_ids[link.number]
            case "assembly":
                return self.job_ids[link.number]
            case "finishing":
                return self.finishing_ids[link.number]
            case "finishing closed" | "drying":
                return self.benches[link.number]
            case "run" | "changeover" | "wish" | "moulded over":
                return self.run_ids[link.number]
            case "press closed":
                return names.presses[link.number]
            case "tool ready":
                return names.tools[link.number]
            case "dryer":
                return self.dryer(link.number)
            case "material":
                return " ".join(names.materials[link.number])
            case "rest" | "piece" | "lot away":
                good = names.goods[link.number]
                return good if isinstance(good, str) else str(good[0])
            case _:
                return link.kind.split()[0]

    def _away(self, part: str) -> str:
        """Where a part was that was not there yet."""
        going = visits(self.names.campaign, part)
        if not any(visit.firm in self.names.campaign.places for visit in going):
            return "away at another firm"
        firms = ", or away at another firm" if any(visit.steps for visit in going) else ""
        return ("on the way to the bench" if any(visit.out for visit in going) else "on the way here") + firms

    def _said(self, links: list[Link]) -> list[str]:
        """The chain as a list of short sayings, latest first; runs of a press together, a bench by its days."""
        press_of = {self.run_ids[lot]: self.names.presses[row[w.PRESS]] for lot, row in enumerate(self.timing.lots)}
        alike: list[tuple[str, list[Link]]] = []
        for link in links:
            if "closed" in link.kind:
                continue
            away = self._away(link.of) if link.kind == "lot away" else ""
            head = {
                "pick-up": "the next pick-up",
                "pick-up full": "a pick-up with room",
                "wave before": f"the wave before it, gone {short_day(link.until)}",
                "packing": "packing",
                "assembly": "assembly",
                "finishing": "finishing",
                "drying": f"parts from {link.of} to rest",
                "lot away": f"{link.of} {away}",
                "carried": f"the way of {link.of} to the next bench",
                "rest": f"rest of {link.of}",
                "changeover": "the setter, busy at",
                "tool ready": f"tool {link.of}, ready {short_day(link.until)}",
                "material": f"{link.of}, there {short_day(link.until)}",
                "dryer": f"dryer {link.of}, filled anew and dry {short_day(link.until)}",
                "piece": f"piece {link.of}, there {short_day(link.until)}",
                "orders open": f"orders that open {short_day(link.until)}",
                "wish": f"a wish, until {short_moment(link.until)}",
                "moulded over": f"what {link.of} is moulded over, until {short_moment(link.until)}",
            }.get(link.kind) or f"press {press_of[link.of]}"
            if alike and alike[-1][0] == head:
                alike[-1][1].append(link)
            else:
                alike.append((head, [link]))
        short = [f"{head} ({named})" if (named := _named(links)) else head for head, links in alike]
        if len(short) > MOST_SAID:
            short[MOST_SAID - 2 : -2] = [f"{len(short) - MOST_SAID} more waits before"]
        return short

    def worth(self, solution: Solution) -> list[Worth]:
        return [self._worth(more) for more in marginal_values(self.inst, solution, self.timing)]

    def _worth(self, more: More) -> Worth:
        press = self.names.presses[more.index] if more.index >= 0 else None
        place = self.names.campaign.presses[press].place if press else None
        there = f" at {place}" if place else ""
        said = {
            "press hour": f"an hour more in every stretch of press {press}",
            "setter": f"one setter more{there}",
            "operator": f"one person more{there} who can stay at presses",
        }
        return Worth(
            kind=more.kind,
            name=str(press) if more.kind == "press hour" else place or more.kind,
            what=said.get(more.kind, f"one {more.kind} more"),
            hours=more.hours,
            saves=round(more.saves, 6),
            saves_per_hour=round(more.per_hour, 6),
            sooner_hours=more.sooner_s / 3600,
        )


def _named(links: list[Link]) -> str:
    """Which ones: runs by their ids, work at a bench by its days; "" where the kind of wait says it all."""
    if links[0].back_to:
        first, last = short_day(min(link.since for link in links)), short_day(max(link.until for link in links))
        return first if first == last else f"{first} to {last}"
    return ", ".join(_short([link.of for link in links if link.kind in ("run", "changeover")]))


def _short(ids: list[str], most: int = 6) -> list[str]:
    return ids if len(ids) <= most else [*ids[: most - 1], f"and {len(ids) - most + 1} more before"]
