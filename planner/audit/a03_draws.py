"""A3: what the runs draw of a resin that is dried, second by second, read from the plan's runs alone."""

from bisect import bisect_left
from collections.abc import Iterator
from functools import cached_property
from typing import NamedTuple

from planner.audit import masses
from planner.audit.case import Case, Work
from planner.audit.figures import exact, whole_up


class Draw(NamedTuple):
    """Kg drawn evenly from start to end (UTC seconds); all at once at `end` where they are the same."""

    start: int
    end: int
    kg: float

    def by(self, moment: float) -> float:
        """Kg drawn by then."""
        if moment >= self.end:
            return self.kg
        return self.kg * max(0.0, moment - self.start) / (self.end - self.start) if self.end > self.start else 0.0


def draws(case: Case, work: Work, resin: str) -> Iterator[Draw]:
    """What a run draws of a resin: in its changeover, in each restart, and by its shots from opening to closing."""
    changeover, second = work.run.changeover, case.clock.second
    purged = masses.purged_kg(work)
    for k, (melt, grams, purge) in enumerate(zip(work.melts, work.shot_g, purged, strict=True)):
        share = masses.made_of(case.campaign, melt).get(("resin", resin), 0.0)
        if not share:
            continue
        shot_kg = float(grams) / 1000 * share
        if changeover is not None:
            begin = second(changeover.start) + changeover.warm_up_seconds + changeover.mount_seconds
            yield Draw(begin, second(changeover.end), changeover.startup_shots * shot_kg + purge * share)
        for stretch in work.run.stretches:
            start = second(stretch.start)
            begins = start + stretch.restart_seconds
            again = sum(one.kg for one in stretch.purges if one.barrel == k + 1) * share
            yield Draw(start, begins, stretch.restart_shots * shot_kg + again)
            closing = stretch.closing.seconds if stretch.closing else 0
            yield Draw(begins, second(stretch.end) - closing, stretch.shots * shot_kg)


class Drawn:
    """All that the runs draw of one resin, and when what they draw can have been put into its dryer."""

    def __init__(self, case: Case, resin: str) -> None:
        self.parts = [draw for work in case.works for draw in draws(case, work, resin) if draw.kg > 0]
        self.dry_s = whole_up(exact(case.campaign.resins[resin].drying_hours) * 3600)
        self.served = case.dryers_served_for(resin)

    def by(self, moment: float) -> float:
        """Kg drawn by then."""
        return sum(draw.by(moment) for draw in self.parts)

    def filled_by(self, moment: float) -> float:
        """The last second at which what is drawn then can have been put in: dried since, and somebody was there."""
        latest = moment - self.dry_s
        if not self.served:
            return latest
        found = [min(latest, last) for start, last in self.served if start <= latest]
        return max(found, default=latest)

    def jumps(self) -> list[int]:
        """Seconds just before which what is drawn was put in before the people left last."""
        return [start + self.dry_s for start, _ in self.served]

    def most_on_one_filling(self) -> float:
        """The most that is drawn between filling and drawing: no dryer can hold less."""
        bends = {moment for draw in self.parts for moment in (draw.start, draw.end)}
        if not bends:
            return 0.0
        first, last = min(bends), max(bends)
        lasts = {end + self.dry_s for _, end in self.served}
        jumps = {jump for jump in self.jumps() if first < jump <= last}
        bends |= {bend + self.dry_s for bend in bends} | lasts
        most = 0.0
        for moment in sorted(bend for bend in bends if first <= bend <= last):
            most = max(most, self.by(moment) - self.by(self.filled_by(moment)))
        for jump in jumps:
            most = max(most, self.by(jump) - self.by(self.filled_by(jump - 1)))
        return most

    @cached_property
    def _bends(self) -> list[int]:
        return sorted({moment for draw in self.parts for moment in (draw.start, draw.end)})

    def moment_of(self, kg: float) -> float:
        """When so many kg have been drawn."""
        bends = self._bends
        # what is drawn never becomes less: the first bend by which so much is drawn can be looked for by halves
        n = bisect_left(bends, kg - 1e-9, lo=min(1, len(bends)), key=self.by)
        if n >= len(bends):
            return bends[-1] if bends else 0.0
        since, until = bends[n - 1], bends[n]
        before = self.by(since) if n > 1 else 0.0
        return since + (until - since) * min(1.0, max(0.0, (kg - before) / (self.by(until) - before or 1.0)))
