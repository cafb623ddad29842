"""R22 and R23 read plainly, for the twin: whether dryers keep up with a run that begins at some moment."""

from dataclasses import dataclass
from math import isinf

from planner.schedule.instance import NEVER, Instance


@dataclass(frozen=True)
class Draw:
    """What a lot draws from a dryer. most: kg of shots in as long as drying takes; purge, again: kg before the run and
    at its openings."""

    dryer: int
    resin: int
    begin: int
    purged_by: int
    end: int
    rate: float
    most: float
    purge: float
    again: float


class Dryers:
    def __init__(self, inst: Instance) -> None:
        self.inst = inst
        self.draws: list[Draw] = []
        self.there = list(zip(inst.there_start.tolist(), inst.there_last.tolist(), strict=True))

    def drawn(self, p: int, run: int, shots: int, purge: dict[int, float], times: tuple[int, int, int]) -> list[Draw]:
        """What a lot draws; times: begin, purged by, end."""
        inst, found = self.inst, []
        for b, melt in enumerate(inst.run_melt[run].tolist()):
            if inst.dryers == 0 or melt < 0 or inst.run_dryer[run, b] < 0:
                continue
            share = 1 - float(inst.melt_master_share[melt])
            rate = float(inst.draw_kg_s[p, run, b])
            most = shots * float(inst.shot_kg[run, b]) * share + float(inst.draw_startups_kg[p, run, b])
            most = min(most, float(inst.dry_window_s[run, b]) * rate)
            again = float(inst.draw_again_kg[p, run, b])
            dryer, resin = int(inst.run_dryer[run, b]), int(inst.melt_resin[melt])
            found.append(Draw(dryer, resin, *times, rate, most, purge.get(b, 0.0) * share, again))
        return found

    def ready(self, p: int, run: int, shots: int, purge: dict[int, float], earliest: int) -> int:
        """The first moment at which the lot may begin; NEVER if none."""
        own = self.drawn(p, run, shots, purge, (0, 0, 0))
        if not own:
            return earliest
        moments = {earliest}
        for b in range(2):
            dry = int(self.inst.dry_s[run, b])
            for draw in self.draws:
                moments |= {draw.end, self._next(draw.end) + dry, self._next(draw.purged_by) + dry}
                moments.add(self._next(draw.end, self.inst.dryer_clean_s) + dry)
        fine = (m for m in sorted(moments) if m >= earliest and self._all_fine(run, own, m))
        return next(fine, NEVER)

    def _all_fine(self, run: int, own: list[Draw], moment: int) -> bool:
        for b, dryer in enumerate(self.inst.run_dryer[run].tolist()):
            mine = [draw for draw in own if draw.dryer == dryer]
            if dryer >= 0 and not self._fine(run, b, mine, moment):
                return False
        return True

    def _fine(self, run: int, b: int, mine: list[Draw], moment: int) -> bool:
        inst, dry = self.inst, int(self.inst.dry_s[run, b])
        others = [draw for draw in self.draws if draw.dryer == mine[0].dryer]
        if others and others[-1].resin != mine[0].resin:
            cleaned = self._next(max(draw.end for draw in others), inst.dryer_clean_s)
            if moment < cleaned + dry:
                return False
        if isinf(inst.dryer_holds[run, b]):
            return True
        since = self._last(moment - dry)
        recent = [draw for draw in others if draw.resin == mine[0].resin and draw.end > since]
        looked_at = {max(draw.begin, since) for draw in recent}
        peaks = [sum(draw.rate for draw in recent if draw.begin <= s < draw.end) for s in looked_at]
        peaks.append(sum(draw.rate for draw in recent if draw.end > moment) + sum(draw.rate for draw in mine))
        shots = min(int(inst.dry_window_s[run, b]) * max(peaks), sum(draw.most for draw in [*recent, *mine]))
        purges = sum(draw.purge for draw in recent if draw.purged_by > since) + sum(draw.purge for draw in mine)
        again = sum(draw.again for draw in [*recent, *mine])
        return bool(shots + purges + again <= inst.dryer_holds[run, b] + 1e-9)

    def cleanings(self, draws: list[Draw]) -> int:
        """How many dryers must be cleaned for a lot."""
        last = {draw.dryer: draw.resin for draw in self.draws}
        return sum(last.get(draw.dryer, draw.resin) != draw.resin for draw in draws)

    def _last(self, moment: int) -> int:
        """The last moment by then at which somebody can load a dryer."""
        if not self.there:
            return moment
        return max((min(moment, last) for start, last in self.there if start <= moment), default=-1)

    def _next(self, moment: int, takes: int = 0) -> int:
        """When work of so many seconds at a dryer can be done at the earliest from then on."""
        if not self.there:
            return moment + takes
        ends = (max(moment, start) + takes for start, last in self.there if max(moment, start) + takes <= last)
        return min(ends, default=NEVER)
