"""Purges made with a purging compound, and purges the maker wants made with it (A5).

Its figures stand in the campaign, so unlike an estimate they can be recomputed: given for the pair, else hold-ups.
Where the log holds purges with compound in that barrel, its factor cannot be; then the two kilograms must keep their
proportion.
"""

from fractions import Fraction

from planner.audit.case import Case, Work
from planner.audit.figures import KG, same, seconds_of
from planner.audit.findings import Findings
from planner.campaign.purging import Compound, CompoundGiven
from planner.plan.document import Purge


def rule_of(compound: Compound, press: str, where: str, barrel: int, held: str, comes: str) -> str:
    """cheapest, never or always: by the closest rule that fits, else the compound's own; never where it is not fit."""
    resins = {held.rpartition("/")[0], comes.rpartition("/")[0]}
    if (compound.resins and not resins <= set(compound.resins)) or (where == "hot runner" and not compound.hot_runners):
        return "never"
    use, closest = str(compound.use), 0
    for rule in compound.rules:
        named = (
            (rule.press, None if where == "hot runner" else press),
            (rule.barrel, barrel),
            (rule.from_, held),
            (rule.to, comes),
        )
        if all(asked is None or asked == found for asked, found in named):
            close = sum(asked is not None for asked, _ in named)
            if close >= closest:
                use, closest = rule.use, close
    return use


def with_melt(case: Case, work: Work, what: object, purge: Purge, notes: Findings) -> None:
    """A purge with melt alone: nothing of a compound in it, and not where the maker wants the compound always."""
    compound = case.campaign.purging.compound
    notes.expect(
        purge.way == "melt alone" and not (purge.compound_kg or purge.rinse_kg or purge.soak_seconds),
        f"{work}: {what} is purged with melt alone, yet a compound is counted in it",
    )
    notes.expect(
        compound is None
        or rule_of(compound, work.run.press, purge.where, purge.barrel, purge.from_, purge.to) != "always",
        f"{work}: {what} is purged with melt, the maker wants the compound always",
    )


def with_compound(case: Case, work: Work, what: object, purge: Purge, held_kg: Fraction, notes: Findings) -> None:
    """A purge with compound: allowed there, and its kilograms, soak and basis are the campaign's."""
    compound = case.campaign.purging.compound
    if compound is None:
        notes.fault(f"{work}: {what} is purged with a compound, the campaign has none")
        return
    press = work.run.press
    notes.expect(
        rule_of(compound, press, purge.where, purge.barrel, purge.from_, purge.to) != "never",
        f"{work}: {what} is purged with `{compound.name}`, which must not be used there",
    )
    notes.expect(
        purge.way == "purging compound" and same(purge.kg, purge.compound_kg + purge.rinse_kg, KG),
        f"{work}: {what} takes {purge.compound_kg:g} kg of compound and {purge.rinse_kg:g} kg of melt, "
        f"the plan says {purge.kg:g} kg ({purge.way})",
    )
    given = compound_given(compound, press, purge.where, purge.barrel, purge.from_, purge.to)
    soak = compound.soak_minutes if given is None or given.soak_minutes is None else given.soak_minutes
    notes.expect(
        purge.soak_seconds == seconds_of(soak),
        f"{work}: {what} soaks {seconds_of(soak)} s, the plan gives {purge.soak_seconds} s",
    )
    if given is not None:
        used, rinse, basis = given.kg, given.rinse_kg, "given"
    else:
        held, basis = float(held_kg), "estimated"
        used, rinse = compound.holdups * held, compound.rinse_holdups * held
        if is_logged(case, press, purge.where, purge.barrel):
            # the barrel's factor stretches both alike
            used, rinse = purge.compound_kg, purge.compound_kg * compound.rinse_holdups / compound.holdups
    notes.expect(
        same(purge.compound_kg, used, KG) and same(purge.rinse_kg, rinse, 4 * KG) and purge.basis == basis,
        f"{work}: {what} takes {used:.3f} kg of compound and {rinse:.3f} kg of melt ({basis}), "
        f"the plan says {purge.compound_kg:g} and {purge.rinse_kg:g} kg ({purge.basis})",
    )


def is_logged(case: Case, press: str, where: str, barrel: int) -> bool:
    """Whether the log holds purges with compound in that barrel: then it has a factor for them."""
    return where == "barrel" and any(
        entry.compound and (entry.press, entry.barrel) == (press, barrel) for entry in case.campaign.purging.log
    )


def compound_given(
    compound: Compound, press: str, where: str, barrel: int, held: str, comes: str
) -> CompoundGiven | None:
    """What the maker gave for the pair: the closest figure, the later of equals; hot runners have none."""
    if where == "hot runner":
        return None
    fits = [
        given
        for given in compound.given
        if (given.from_, given.to) == (held, comes) and given.press in (None, press) and given.barrel in (None, barrel)
    ]
    closest = sorted(fits, key=lambda given: (given.barrel is not None) + (given.press is not None))
    return closest[-1] if closest else None
