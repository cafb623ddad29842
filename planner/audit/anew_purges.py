"""What it takes to purge any melt out of any place before any run (A13): kg, seconds, and whether with a compound.

A scenario may bring runs together that do not follow each other in the plan, so each pair is worked out from the
campaign, as A5 works out those of the plan.
"""

from typing import NamedTuple

from planner.audit import resin_heat, unknown_melt
from planner.audit.bridges import heating
from planner.audit.case import Case, Work
from planner.audit.charges import energy_rate
from planner.audit.cleaning import compound_given, is_logged, rule_of
from planner.audit.figures import exact, seconds_of, whole_up
from planner.audit.masses import price_of
from planner.audit.others import NOBODY_KNOWS
from planner.audit.purge_estimates import Opinion
from planner.audit.purges import given_for, open_seconds
from planner.campaign.purging import Compound


class CannotTell(Exception):
    """Something that is not worked out anew."""


class Way(NamedTuple):
    """One way to purge. melt: kg of the melt that comes; compound: kg of it; heat: seconds between set points."""

    melt: float
    compound: float
    seconds: int


class Purging(NamedTuple):
    """alone: with melt alone; preferred: with compound, None where melt is; only: never without it."""

    alone: Way
    preferred: Way | None = None
    only: bool = False


class Purges:
    """Purges of one case, each worked out once."""

    def __init__(self, case: Case) -> None:
        self.case, self.opinion = case, Opinion(case)
        self._known: dict[tuple[str, str, str, int, str, str], Purging] = {}

    def of(self, work: Work, where: str, barrel: int, held: str, comes: str) -> Purging:
        """The purge before a run, at planned pace. barrel: from 1."""
        key = (work.run.press, work.run.tool, where, barrel, held, comes)
        if key not in self._known:
            self._known[key] = self._worked_out(work, where, barrel, held, comes)
        return self._known[key]

    def _worked_out(self, work: Work, where: str, barrel: int, held: str, comes: str) -> Purging:
        case, resin = self.case, comes.rpartition("/")[0]
        if where == "hot runner":
            if held == NOBODY_KNOWS:
                figure = unknown_melt.worst_in_hot_runner(case, self.opinion, work.run.tool, barrel, comes)
            else:
                figure = self.opinion.hot_runner(work.run.tool, barrel, held, comes)
            kg = round(figure.kg, 3)
            return self._with_compound(
                work, where, barrel, (held, comes), Way(kg, 0.0, self._through(work, barrel, kg))
            )
        if held == NOBODY_KNOWS:
            least = resin_heat.heat(case.campaign, resin).low or 0.0
            if least > resin_heat.UNKNOWN_STANDS:
                raise CannotTell
            told = {
                melt: one
                for melt in unknown_melt.melts_about(case)
                if (one := given_for(case, work.run.press, barrel, melt, comes))
            }
            kg = unknown_melt.worst_in_barrel(case, self.opinion, work.run.press, barrel, comes, told).kg
            heat = unknown_melt.heated(case, work, resin)
        else:
            before = held.rpartition("/")[0]
            if not resin_heat.meet(case.campaign, before, resin):
                raise CannotTell  # which resin goes between them is the maker's choice
            measured = self.opinion.barrel(work.run.press, barrel, held, comes)
            given = given_for(case, work.run.press, barrel, held, comes)
            kg = measured.kg if measured.measured or given is None else given.kg
            heat = heating(case, work, before, resin)
        kg = round(kg, 3)
        alone = Way(kg, 0.0, heat + open_seconds(case, work, barrel, resin, kg))
        return self._with_compound(work, where, barrel, (held, comes), alone)

    def _through(self, work: Work, barrel: int, kg: float) -> int:
        """Seconds of so many kg through the tool."""
        grams = work.shot_g[barrel - 1]
        return whole_up(whole_up(exact(kg) * 1000 / grams) * work.purge_shot) if grams else 0

    def _with_compound(self, work: Work, where: str, barrel: int, pair: tuple[str, str], alone: Way) -> Purging:
        compound = self.case.campaign.purging.compound
        if compound is None or pair[0] == NOBODY_KNOWS:
            return Purging(alone)
        rule = rule_of(compound, work.run.press, where, barrel, *pair)
        had = compound.stock_kg > 0 or bool(compound.arrivals) or compound.lead_days is not None
        if rule == "never" or not had:
            return Purging(alone)
        if is_logged(self.case, work.run.press, where, barrel):
            raise CannotTell  # its factor stretches the figures
        way = self._cleaned(compound, work, where, barrel, pair)
        if where == "barrel":
            way = way._replace(seconds=way.seconds + alone.seconds - self._open(work, barrel, pair[1], alone.melt))
        better = rule == "always" or self._dearer(compound, work, where, barrel, pair)
        return Purging(alone, way if better else None, rule == "always")

    def _open(self, work: Work, barrel: int, comes: str, kg: float) -> int:
        return open_seconds(self.case, work, barrel, comes.rpartition("/")[0], kg)

    def _cleaned(self, compound: Compound, work: Work, where: str, barrel: int, pair: tuple[str, str]) -> Way:
        """With compound, heating left out."""
        given = compound_given(compound, work.run.press, where, barrel, *pair)
        if given is not None:
            used, rinse = given.kg, given.rinse_kg
        else:
            hot = where == "hot runner"
            held = float(work.hot_kg[barrel - 1]) if hot else work.press.barrels[barrel - 1].holdup_kg
            used, rinse = compound.holdups * held, compound.rinse_holdups * held
        soak = compound.soak_minutes if given is None or given.soak_minutes is None else given.soak_minutes
        used, rinse = round(used, 3), round(rinse, 3)
        kg = round(used + rinse, 3)
        took = self._through(work, barrel, kg) if where == "hot runner" else self._open(work, barrel, pair[1], kg)
        return Way(rinse, used, took + seconds_of(soak))

    def _dearer(self, compound: Compound, work: Work, where: str, barrel: int, pair: tuple[str, str]) -> bool:
        """Whether melt alone costs more, over all runs of the plan that may bring the melt there (R10)."""
        case, floor = self.case, self.case.campaign.floor
        same = [
            one
            for one in {(w.run.press, w.run.tool): w for w in case.works}.values()
            if (one.run.press == work.run.press if where == "barrel" else one.run.tool == work.run.tool)
            and barrel <= one.barrels
        ]
        melt = pair[1].rpartition("/")
        per_kg = price_of(case.campaign, (melt[0], melt[2])) + floor.disposal_per_kg
        more = 0.0
        for one in same or [work]:
            rate = (one.press.rate_per_hour + energy_rate(case, one) + floor.setter_rate_per_hour) / 3600
            way = self._cleaned(compound, one, where, barrel, pair)
            kg, seconds = self._alone(one, where, barrel, pair)
            more += kg * per_kg + seconds * rate
            more -= way.compound * (compound.price_per_kg + floor.disposal_per_kg) + way.melt * per_kg
            more -= way.seconds * rate
        return more > 0

    def _alone(self, work: Work, where: str, barrel: int, pair: tuple[str, str]) -> tuple[float, int]:
        """Kg and seconds with melt alone, heating left out."""
        if where == "hot runner":
            kg = round(self.opinion.hot_runner(work.run.tool, barrel, *pair).kg, 3)
            return kg, self._through(work, barrel, kg)
        figure = self.opinion.barrel(work.run.press, barrel, *pair)
        given = given_for(self.case, work.run.press, barrel, *pair)
        kg = round(figure.kg if figure.measured or given is None else given.kg, 3)
        return kg, self._open(work, barrel, pair[1], kg)
