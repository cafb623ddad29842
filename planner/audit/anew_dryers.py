"""Whether dryers keep up with a run that begins at some moment of a scenario (A13): R22 and R23 read anew, counted on
the safe side as they say.
"""

from bisect import bisect_right
from math import inf
from typing import NamedTuple

from planner.audit.case import Case, Work
from planner.audit.figures import exact, seconds_of, whole_up
from planner.audit.opening import Openings
from planner.campaign.dryer_rate import dryer_of, dryers_to_plan, window_seconds

Spans = list[tuple[int, int]]
LEAVING = 300


class Draw(NamedTuple):
    """What a run draws from a dryer. most: kg of shots on one filling; purge, again: kg before it and at its openings.
    Moments are UTC seconds."""

    dryer: str
    resin: str
    begin: int
    purged_by: int
    end: int
    rate: float
    most: float
    purge: float
    again: float


class Dryers:
    """All dryers that decide when a run may begin, and what has been drawn from them."""

    def __init__(self, case: Case, openings: dict[str, Spans], resins: list[str]) -> None:
        self.case, self.openings = case, openings
        campaign = case.campaign
        self.looked_at = set(dryers_to_plan(campaign, resins))
        self.cleaning = seconds_of(campaign.floor.dryer_cleaning_minutes)
        people = campaign.floor.attended
        self.there: Spans = []
        if people is not None:
            found = Openings(case.shifts_of(people)).stretches
            first = [(max(start, case.start), end) for start, end in found if end > case.start]
            self.there = [(start, max(start, end - LEAVING)) for start, end in first]
        self.draws: list[Draw] = []

    def begin(self) -> None:
        """Nothing is drawn yet."""
        self.draws = []

    def drawn(
        self, work: Work, shots: int, purge: list[float], again: list[float], times: tuple[int, int, int]
    ) -> list[Draw]:
        """What a run draws: begin, purged by, end. purge, again: kg of melt by barrel."""
        found: list[Draw] = []
        if not self.looked_at:
            return found
        campaign = self.case.campaign
        for n, (resin, colour) in enumerate(work.melts):
            dryer = dryer_of(campaign, resin)
            if dryer is None or dryer not in self.looked_at:
                continue
            share = 1.0
            if campaign.resins[resin].natural_colour != colour:
                share -= campaign.colours[colour].let_down_percent / 100
            shot_kg = float(work.shot_g[n]) / 1000 * share
            rate = shot_kg / float(work.shot)
            restarts = self._openings(work.run.press, self._dry(resin))
            most = shots * shot_kg + work.tool.startup_shots * shot_kg * (1 + restarts)
            most = min(most, window_seconds(campaign, resin) * rate)
            found.append(
                Draw(dryer, resin, *times, rate, most, purge[n] * share, again[n] * share * restarts)
            )  # fmt: skip
        return found

    def _dry(self, resin: str) -> int:
        return whole_up(exact(self.case.campaign.resins[resin].drying_hours) * 3600)

    def _openings(self, press: str, dry: int) -> int:
        """Most openings of a press at which a run restarts on one filling."""
        return self.case.once(("restarts on a filling", press, dry), lambda: self._count_openings(press, dry))

    def _count_openings(self, press: str, dry: int) -> int:
        opens = [start for start, _ in self.openings[press]]
        starts = [start for start, _ in self.there]
        most = 1
        for n, opened in enumerate(opens):
            since = opened - dry
            if starts:
                k = bisect_right(starts, since) - 1
                since = self.case.start - 1 if k < 0 else min(since, self.there[k][1])
            most = max(most, n + 1 - bisect_right(opens, since))
        return most

    def ready(self, mine: list[Draw], earliest: int) -> int | None:
        """The first moment from then on at which the run may begin; None: never."""
        if not mine or self._all_fine(mine, earliest):
            return earliest
        moments: set[int] = set()
        for own in mine:
            dry = self._dry(own.resin)
            for draw in self.draws:
                moments.add(draw.end)
                for at in (self._next(draw.end), self._next(draw.purged_by), self._next(draw.end, self.cleaning)):
                    if at is not None:
                        moments.add(at + dry)
        return next((m for m in sorted(moments) if m >= earliest and self._all_fine(mine, m)), None)

    def _all_fine(self, mine: list[Draw], moment: int) -> bool:
        return all(self._fine([one for one in mine if one.dryer == dryer], moment) for dryer in {d.dryer for d in mine})

    def _fine(self, mine: list[Draw], moment: int) -> bool:
        dry, resin = self._dry(mine[0].resin), mine[0].resin
        others = [draw for draw in self.draws if draw.dryer == mine[0].dryer]
        if others and others[-1].resin != resin:
            cleaned = self._next(max(draw.end for draw in others), self.cleaning)
            if cleaned is None or moment < cleaned + dry:
                return False
        holds = self.case.campaign.resins[resin].dryer_kg
        if holds is None or holds == inf:
            return True
        since = self._last(moment - dry)
        recent = [draw for draw in others if draw.resin == resin and draw.end > since]
        looked_at = {max(draw.begin, since) for draw in recent}
        peaks = [sum(draw.rate for draw in recent if draw.begin <= s < draw.end) for s in looked_at]
        peaks.append(sum(draw.rate for draw in recent if draw.end > moment) + sum(draw.rate for draw in mine))
        window = window_seconds(self.case.campaign, resin)
        shots = min(window * max(peaks), sum(draw.most for draw in [*recent, *mine]))
        purges = sum(draw.purge for draw in recent if draw.purged_by > since) + sum(draw.purge for draw in mine)
        return shots + purges + sum(draw.again for draw in [*recent, *mine]) <= holds + 1e-9

    def cleanings(self, draws: list[Draw]) -> int:
        """How many dryers are cleaned for a run."""
        last = {draw.dryer: draw.resin for draw in self.draws}
        return sum(last.get(draw.dryer, draw.resin) != draw.resin for draw in draws)

    def _last(self, moment: int) -> int:
        """The last moment by then at which somebody can load a dryer."""
        if not self.there:
            return moment
        n = bisect_right(self.there, (moment, 1 << 62)) - 1
        return self.case.start - 1 if n < 0 else min(moment, self.there[n][1])

    def _next(self, moment: int, takes: int = 0) -> int | None:
        """When work of so many seconds at a dryer can be done at the earliest from then on."""
        if not self.there:
            return moment + takes
        return next((max(moment, a) + takes for a, b in self.there if max(moment, a) + takes <= b), None)
