"""Each purge of a changeover against what was asked: there once, its figure trusted in the right order and worked out
anew with its range, its shots and seconds recomputed (A5).
"""

from collections.abc import Sequence
from fractions import Fraction

from planner.audit import cleaning, unknown_melt
from planner.audit.bridges import over_a_bridge
from planner.audit.case import Asked, Case, Work
from planner.audit.figures import KG, exact, same, whole_up
from planner.audit.findings import Findings
from planner.audit.others import NOBODY_KNOWS
from planner.audit.purge_estimates import Figure, Opinion, given_figure
from planner.campaign.melt_density import melt_density
from planner.campaign.purging import PurgeGiven
from planner.plan.document import Purge


class PurgeBook:
    """Every purge of the plan, compared one by one."""

    def __init__(self, case: Case, notes: Findings) -> None:
        self.case, self.notes, self.opinion = case, notes, Opinion(case)

    def compare(self, work: Work, purges: Sequence[Purge], asked: list[Asked]) -> None:
        """The purges of one changeover, or of a restart after a closing, against what its neighbours ask for."""
        found: dict[Asked, Purge] = {}
        for purge in purges:
            one = Asked(purge.where, purge.barrel, purge.from_, purge.to)
            if self.notes.expect(one in asked and one not in found, f"{work}: nobody asked to purge {one}"):
                found[one] = purge
        for one in asked:
            if self.notes.expect(one in found, f"{work}: no purge of {one}"):
                self._figure(work, one, found[one])

    def _figure(self, work: Work, asked: Asked, purge: Purge) -> None:
        if asked.where == "barrel":
            self._into_the_open(work, asked, purge)
        else:
            self._through_the_tool(work, asked, purge)
        self.notes.expect(
            0 <= purge.kg_p10 <= purge.kg <= purge.kg_p90,
            f"{work}: {purge.kg:g} kg of {asked} is outside its own range {purge.kg_p10:g} to {purge.kg_p90:g} kg",
        )
        if asked.held == NOBODY_KNOWS:
            purge = unknown_melt.over_a_bridge(self.case, work, asked, purge, self.notes)
            self.notes.expect(
                purge.way == "melt alone" and not (purge.compound_kg or purge.rinse_kg or purge.soak_seconds),
                f"{work}: {asked} is purged with melt alone, as nobody knows what a compound would meet",
            )
            self._basis(work, asked, purge)
            return
        purge = over_a_bridge(self.case, work, asked, purge, self.notes)
        if purge.compound_kg > 0 or purge.way != "melt alone":
            held = self._held(work, asked)
            if held is not None:
                cleaning.with_compound(self.case, work, asked, purge, held, self.notes)
            return
        cleaning.with_melt(self.case, work, asked, purge, self.notes)
        self._basis(work, asked, purge)

    def _into_the_open(self, work: Work, asked: Asked, purge: Purge) -> None:
        """A barrel: in air shots, at a share of what its screw melts of polystyrene, by the density of the melt."""
        if asked.barrel > len(work.press.barrels):
            return  # A1 has seen it
        kg_s = open_kg_s(self.case, work, asked.barrel, asked.comes.rpartition("/")[0])
        between = open_seconds(self.case, work, asked.barrel, purge.bridge, purge.bridge_kg) if purge.bridge else 0
        kg = exact(round(purge.kg - purge.bridge_kg, 3))
        low, high = (whole_up(max(Fraction(0), kg + slack) / kg_s) for slack in (-exact(KG), exact(KG)))
        exactly = whole_up(kg / kg_s)
        took = purge.seconds - purge.soak_seconds - purge.heat_seconds - between
        self.notes.expect(
            purge.shots == 0 and (took == exactly or low <= took <= high),
            f"{work}: {purge.kg:g} kg of {asked} at {float(kg_s * 3600):.3g} kg/h into the open take {exactly} s, "
            f"the plan gives {took} s and {purge.shots} shots through the tool",
        )

    def _through_the_tool(self, work: Work, asked: Asked, purge: Purge) -> None:
        """A hot runner: whole shots of the tool, at its purge cycle."""
        notes, grams = self.notes, work.shot_g[asked.barrel - 1]
        low, high = (
            whole_up(max(Fraction(0), exact(purge.kg) + slack) * 1000 / grams) if grams else 0
            for slack in (-exact(KG), exact(KG))
        )
        exactly = whole_up(exact(purge.kg) * 1000 / grams) if grams else 0
        notes.expect(
            purge.shots == exactly or low <= purge.shots <= high,
            f"{work}: purging {purge.kg:g} kg of {asked} takes {exactly} shots of {float(grams):g} g, "
            f"the plan gives {purge.shots}",
        )
        seconds = whole_up(purge.shots * work.purge_shot) + purge.soak_seconds
        notes.expect(
            purge.seconds == seconds,
            f"{work}: {purge.shots} purge shots of {asked} take {seconds} s, soaking included, "
            f"the plan gives {purge.seconds} s",
        )

    def _held(self, work: Work, asked: Asked) -> Fraction | None:
        """Melt that the barrel or hot runner holds, kg; None for a barrel the press has not: A1 has seen it."""
        if asked.where == "hot runner":
            return work.hot_kg[asked.barrel - 1]
        barrels = work.press.barrels
        return exact(barrels[asked.barrel - 1].holdup_kg) if asked.barrel <= len(barrels) else None

    def _basis(self, work: Work, asked: Asked, purge: Purge) -> None:
        """Measured before given before estimated, kilograms and range worked out anew; a hot runner is estimated."""
        if asked.where == "hot runner" and asked.held == NOBODY_KNOWS:
            basis = "estimated"
            ours = unknown_melt.worst_in_hot_runner(self.case, self.opinion, work.run.tool, asked.barrel, asked.comes)
        elif asked.where == "hot runner":
            basis, ours = "estimated", self.opinion.hot_runner(work.run.tool, asked.barrel, asked.held, asked.comes)
        elif asked.barrel > len(work.press.barrels):
            return  # A1 has seen it
        else:
            basis, ours = self._of_barrel(work.run.press, asked)
        self.notes.expect(
            purge.basis == basis and same(purge.kg, ours.kg, KG),
            f"{work}: {asked} takes {ours.kg:.3f} kg ({basis}), the plan purges {purge.kg:g} kg ({purge.basis})",
        )
        # the kilograms were rounded before they were stretched, and the ends of the range after
        below, above = (KG * (1 + end / ours.kg) if ours.kg else KG for end in (ours.low, ours.high))
        self.notes.expect(
            same(purge.kg_p10, ours.low, below) and same(purge.kg_p90, ours.high, above),
            f"{work}: {asked} may take {ours.low:.3f} to {ours.high:.3f} kg, the plan says "
            f"{purge.kg_p10:g} to {purge.kg_p90:g} kg",
        )

    def _of_barrel(self, press: str, asked: Asked) -> tuple[str, Figure]:
        if asked.held == NOBODY_KNOWS:
            told = {
                melt: one
                for melt in unknown_melt.melts_about(self.case)
                if (one := given_for(self.case, press, asked.barrel, melt, asked.comes))
            }
            worst = unknown_melt.worst_in_barrel(self.case, self.opinion, press, asked.barrel, asked.comes, told)
            return "estimated", worst
        figure = self.opinion.barrel(press, asked.barrel, asked.held, asked.comes)
        given = given_for(self.case, press, asked.barrel, asked.held, asked.comes)
        if figure.measured:
            return "measured", figure
        return ("estimated", figure) if given is None else ("given", given_figure(given.kg))


def open_kg_s(case: Case, work: Work, barrel: int, resin: str) -> Fraction:
    """Kg a second at which a barrel (from 1) is purged into the open with a resin."""
    place = work.press.barrels[barrel - 1]
    rated = place.plasticising_kg_h
    if rated is None:
        rated = max(0.1, round(100 * place.holdup_kg ** (2 / 3), 1))
    density = melt_density(resin, case.campaign.resins[resin]) if resin in case.campaign.resins else 1.0
    return exact(case.campaign.purging.air_shot_share) * exact(rated) * exact(density) / Fraction(945, 1000) / 3600


def open_seconds(case: Case, work: Work, barrel: int, resin: str, kg: float) -> int:
    """Whole seconds of so much of a resin through a barrel (from 1) into the open."""
    return whole_up(exact(round(kg, 3)) / open_kg_s(case, work, barrel, resin))


def given_for(case: Case, press: str, barrel: int, held: str, comes: str) -> PurgeGiven | None:
    """The figure the maker gave for the pair: one for this barrel before one for the press, before a general one."""
    fits = [
        given
        for given in case.campaign.purging.given
        if (given.from_, given.to) == (held, comes) and given.press in (None, press) and given.barrel in (None, barrel)
    ]
    return max(fits, key=lambda given: (given.barrel is not None, given.press is not None), default=None)
