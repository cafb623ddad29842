"""Each purge of a changeover against what was asked: there once, its figure trusted in the right order, its shots
and seconds recomputed (A5).

The estimate itself cannot be recomputed from the two documents. What can: figures the maker gave are binding, a
figure is the same wherever the same change comes up, and a hot runner's is in proportion to the melt it holds.
"""

from collections.abc import Callable
from fractions import Fraction
from typing import NamedTuple

from planner.audit import cleaning
from planner.audit.case import Case, Work
from planner.audit.figures import KG, exact, same, whole_up
from planner.audit.findings import Findings
from planner.campaign.purging import PurgeGiven
from planner.plan.document import Changeover, Purge


class Asked(NamedTuple):
    """A purge the neighbours ask for."""

    where: str
    barrel: int
    held: str
    comes: str

    def __str__(self) -> str:
        return f"{self.where} {self.barrel} from {self.held} to {self.comes}"


class _Seen(NamedTuple):
    """A purge figure met in the plan: per kg of melt held, with the slack that rounding to the gram leaves."""

    work: Work
    hold_ups: float
    slack: float


class PurgeBook:
    """Every purge of the plan, compared one by one and then with each other."""

    def __init__(self, case: Case, notes: Findings, purge_kg: Callable[[str, int, str, str], float] | None) -> None:
        self.case, self.notes, self.purge_kg = case, notes, purge_kg
        self._seen: dict[tuple[str, str, str], list[_Seen]] = {}

    def compare(self, work: Work, changeover: Changeover, asked: list[Asked]) -> None:
        """The purges of one changeover against what its neighbours ask for."""
        found: dict[Asked, Purge] = {}
        for purge in changeover.purges:
            one = Asked(purge.where, purge.barrel, purge.from_, purge.to)
            if self.notes.expect(one in asked and one not in found, f"{work}: nobody asked to purge {one}"):
                found[one] = purge
        for one in asked:
            if self.notes.expect(one in found, f"{work}: no purge of {one}"):
                self._figure(work, one, found[one])

    def _figure(self, work: Work, asked: Asked, purge: Purge) -> None:
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
        notes.expect(
            0 <= purge.kg_p10 <= purge.kg <= purge.kg_p90,
            f"{work}: {purge.kg:g} kg of {asked} is outside its own range {purge.kg_p10:g} to {purge.kg_p90:g} kg",
        )
        if purge.compound_kg > 0 or purge.way != "melt alone":
            held = self._held(work, asked)
            if held is not None:
                cleaning.with_compound(self.case, work, asked, purge, held, notes)
            return
        cleaning.with_melt(self.case, work, asked, purge, notes)
        self._basis(work, asked, purge)
        self._remember(work, asked, purge)

    def _held(self, work: Work, asked: Asked) -> Fraction | None:
        """Melt that the barrel or hot runner holds, kg; None for a barrel the press has not: A1 has seen it."""
        if asked.where == "hot runner":
            return work.hot_kg[asked.barrel - 1]
        barrels = work.press.barrels
        return exact(barrels[asked.barrel - 1].holdup_kg) if asked.barrel <= len(barrels) else None

    def _remember(self, work: Work, asked: Asked, purge: Purge) -> None:
        """File the figure under every place where it must be the same, as hold-ups.

        A barrel's figure holds for that barrel, a hot runner's for that tool. Where no log is there to be fitted to,
        both are the estimate's hold-ups of the pair, the same everywhere.
        """
        pair, press = (asked.held, asked.comes), work.run.press
        held = self._held(work, asked)
        if held is None:
            return
        if asked.where == "barrel":
            places = [(f"press `{press}`, barrel {asked.barrel}", *pair)]
            logged = any(
                (entry.press, entry.barrel) == (press, asked.barrel) for entry in self.case.campaign.purging.log
            )
            if purge.basis == "estimated" and not logged:
                places.append(("any estimate", *pair))
        else:
            named = any(entry.tool == work.run.tool for entry in self.case.campaign.purging.log)
            own = (f"tool `{work.run.tool}`, hot runner {asked.barrel}", *pair)
            places = [own] if named else [own, ("any estimate", *pair)]
        for place in places:
            seen = _Seen(work, float(exact(purge.kg) / held), KG / float(held))
            self._seen.setdefault(place, []).append(seen)

    def _basis(self, work: Work, asked: Asked, purge: Purge) -> None:
        """Measured before given before estimated; a given figure is binding for a barrel."""
        notes, press = self.notes, work.run.press
        change = (press, asked.barrel, asked.held, asked.comes)
        logged = any(
            (entry.press, entry.barrel, entry.from_, entry.to) == change and not entry.compound
            for entry in self.case.campaign.purging.log
        )
        given = given_for(self.case, *change)
        if asked.where == "hot runner":
            notes.expect(
                purge.basis == "estimated", f"{work}: {asked} counts as {purge.basis}, there is only an estimate"
            )
        elif purge.basis == "measured":
            notes.expect(logged, f"{work}: {asked} counts as measured, but the log holds no such change")
            return
        elif given is not None:
            notes.expect(
                purge.basis == "given" and same(purge.kg, given.kg, KG),
                f"{work}: {given.kg:g} kg is given for {asked}, the plan purges {purge.kg:g} kg ({purge.basis})",
            )
            return
        else:
            notes.expect(
                purge.basis == "estimated", f"{work}: {asked} counts as {purge.basis}, but no figure is given for it"
            )
            if self.purge_kg is not None:
                kg = self.purge_kg(*change)
                notes.expect(
                    same(purge.kg, kg, KG), f"{work}: {asked} asks for {kg:g} kg, the plan purges {purge.kg:g} kg"
                )
        alike = asked.held.partition("/")[0] == asked.comes.partition("/")[0] and purge.kg_p90 < KG
        notes.expect(purge.kg > 0 or alike, f"{work}: {asked} changes the melt, yet nothing is purged")

    def close(self) -> None:
        """The same change in the same barrel asks for the same hold-ups wherever it comes up."""
        for (place, held, comes), seen in self._seen.items():
            first = seen[0]
            for other in seen[1:]:
                self.notes.expect(
                    abs(first.hold_ups - other.hold_ups) <= first.slack + other.slack + 1e-6 * first.hold_ups,
                    f"{place}: from {held} to {comes} takes {first.hold_ups:.3f} hold-ups in run {first.work.run.id} "
                    f"and {other.hold_ups:.3f} in run {other.work.run.id}",
                )


def given_for(case: Case, press: str, barrel: int, held: str, comes: str) -> PurgeGiven | None:
    """The figure the maker gave for the pair: one for this barrel before one for the press, before a general one."""
    fits = [
        given
        for given in case.campaign.purging.given
        if (given.from_, given.to) == (held, comes) and given.press in (None, press) and given.barrel in (None, barrel)
    ]
    return max(fits, key=lambda given: (given.barrel is not None, given.press is not None), default=None)
