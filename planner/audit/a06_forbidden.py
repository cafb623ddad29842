"""A6: forbidden resin pairs never follow each other in a barrel, dryer or hot runner, not even with a purge between.

Always forbidden: POM (acetal) with PVC, and POM with a halogenated flame-retardant grade: violent decomposition
(resin suppliers' moulding guides); what may be either for all the campaign says counts as either. Beyond those, the
pairs the maker names.
"""

from collections import defaultdict
from itertools import combinations

from planner.audit.a06_cautions import cautions
from planner.audit.case import Case, Work
from planner.audit.findings import Findings
from planner.audit.resin_reading import Reading, read_resin, read_words
from planner.plan.document import RuleVerdict


def check(case: Case) -> RuleVerdict:
    """A6 for every place that ever holds melt or pellets: no two resins in it may be a forbidden pair."""
    notes = Findings("A6")
    for place, resins in _places(case).items():
        notes.look()
        for one, other in combinations(sorted(resins), 2):
            why = _forbidden(case, one, other)
            notes.expect(why is None, f"{place} takes `{one}` and `{other}`: {why}; no purge makes that safe")
    for work in case.works:
        _what_else_goes_in(case, work, notes)
        _nobody_knows(case, work, notes)
    cautions(case, notes)
    return notes.verdict(case.moulding_due, "runs")


def _nobody_knows(case: Case, work: Work, notes: Findings) -> None:
    """Acetal and PVC go only where it is known what was there before."""
    barrels = case.campaign.presses[work.run.press].barrels
    for number, (resin, _) in enumerate(work.melts, start=1):
        what = read_resin(resin, case.campaign.resins[resin])
        if not (what.acetal or what.halogenated):
            continue
        barrel = barrels[number - 1] if number <= len(barrels) else None
        notes.expect(
            barrel is None or barrel.holds is not None or barrel.clean,
            f"{work} brings `{resin}` into barrel {number} of `{work.run.press}`, and nobody says what that holds",
        )
        notes.expect(
            all(len(others.leaves) >= number and others.moulds for others in work.press.others),
            f"{work} brings `{resin}` into barrel {number} of `{work.run.press}`, and nobody says what others did",
        )
        notes.expect(
            not work.hot_kg[number - 1]
            or work.tool.hot_runner_clean
            or bool(work.tool.hot_runner_has_held)
            or len(work.tool.hot_runner_holds) >= number,
            f"{work} brings `{resin}` into the hot runner of `{work.run.tool}`, and nobody says what that has held",
        )


def _what_else_goes_in(case: Case, work: Work, notes: Findings) -> None:
    """Purging compounds and masterbatches: with acetal or PVC only what is known to be fit for it."""
    for resin, colour in work.melts:
        what, masterbatch = read_resin(resin, case.campaign.resins[resin]), read_words(colour)
        clash = (what.acetal and masterbatch.halogenated) or (what.halogenated and masterbatch.acetal)
        natural = case.campaign.resins[resin].natural_colour == colour
        notes.expect(natural or not clash, f"{work}: masterbatch `{colour}` may hold what must never meet `{resin}`")
    compound = case.campaign.purging.compound
    for purge in work.run.changeover.purges if work.run.changeover and compound else []:
        for resin in (purge.from_.rpartition("/")[0], purge.to.rpartition("/")[0]):
            listed = case.campaign.resins.get(resin)
            what = read_resin(resin, listed) if listed else Reading(True, True, True)
            named = read_words(compound.name) if compound else Reading(False, False, False)
            clash = (what.acetal and named.halogenated) or (what.halogenated and named.acetal)
            fit = compound is not None and resin in compound.resins and not clash
            notes.expect(
                not purge.compound_kg or fit or not (what.acetal or what.halogenated),
                f"{work}: nothing says that the purging compound may meet `{resin}`",
            )


def _places(case: Case) -> dict[str, set[str]]:
    places: dict[str, set[str]] = defaultdict(set)
    for name, press in case.campaign.presses.items():
        for number, barrel in enumerate(press.barrels, start=1):
            if name in case.by_press:
                theirs = {melt.rpartition("/")[0] for others in press.others for melt in others.leaves}
                theirs |= {resin for others in press.others for resin in others.moulds}
                places[f"barrel {number} of press `{name}`"] |= {*barrel.has_held, *theirs}
            if barrel.holds and name in case.by_press:
                places[f"barrel {number} of press `{name}`"].add(barrel.holds.rpartition("/")[0])
    for work in case.works:
        for number, (resin, _) in enumerate(work.melts, start=1):
            places[f"barrel {number} of press `{work.run.press}`"].add(resin)
            if work.hot_kg[number - 1]:
                held = {melt.rpartition("/")[0] for melt in work.tool.hot_runner_holds[number - 1 : number]}
                places[f"hot runner {number} of tool `{work.run.tool}`"] |= {
                    resin,
                    *held,
                    *work.tool.hot_runner_has_held,
                }
            if dryer := case.campaign.resins[resin].dryer:
                places[f"dryer `{dryer}`"].add(resin)
    return places


def _forbidden(case: Case, one: str, other: str) -> str | None:
    """Why two resins must never meet, or None."""
    for pair in case.campaign.forbidden_pairs:
        if {pair.one, pair.other} == {one, other}:
            return pair.why or "the maker forbids it"
    for first, second in ((one, other), (other, one)):
        acetal = read_resin(first, case.campaign.resins[first])
        near = read_resin(second, case.campaign.resins[second])
        if acetal.acetal and (near.halogenated or near.unsure):
            return "what is or may be POM and what is or may be PVC or halogenated can decompose each other violently"
    return None
