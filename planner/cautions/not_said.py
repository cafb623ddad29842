"""What the campaign does not say and the plan takes for granted: contents, clamp force, drying.

Where people could be hurt by it (acetal, PVC) the campaign is refused instead.
"""

from collections.abc import Iterator, Sequence

from planner.campaign import Campaign
from planner.campaign.resin_nature import family_of
from planner.campaign.unknown_melts import UNKNOWN
from planner.cautions import texts
from planner.cautions.texts import caution
from planner.plan.document import Caution, Run


def not_said(campaign: Campaign, runs: Sequence[Run]) -> Iterator[Caution]:
    """One caution for each press, tool and resin of the plan of which something is not said."""
    barrels: dict[str, int] = {}
    for run in runs:
        barrels[run.press] = max(barrels.get(run.press, 0), len(run.melts))
    for resin in sorted({melt.rpartition("/")[0] for run in runs for melt in run.melts}):
        yield from _drying(campaign, resin)
    holdups = campaign.purging.resin_change_holdups
    for press, used in sorted(barrels.items()):
        for k, barrel in enumerate(campaign.presses[press].barrels[:used], start=1):
            if barrel.unsaid and not barrel.unknown:
                text = texts.UNSAID_BARREL.format(barrel=k, press=press, holdups=holdups, kg=holdups * barrel.holdup_kg)
                yield caution(f"unsaid {press}", text, texts.UNSAID_SOURCE)
    yield from _unknown_melts(runs)
    for name in sorted({run.tool for run in runs}):
        tool = campaign.tools[name]
        if tool.hot_runner_unsaid:
            text = texts.UNSAID_HOT_RUNNER.format(tool=name, holdups=holdups, kg=holdups * sum(tool.hot_runner_kg))
            yield caution(f"unsaid {name}", text, texts.UNSAID_SOURCE)
        if tool.clamp_kn == 0:
            yield caution(f"clamp {name}", texts.CLAMP.format(tool=name), texts.CLAMP_SOURCE)


def _unknown_melts(runs: Sequence[Run]) -> Iterator[Caution]:
    """Barrels purged of what nobody knows, each once with the most it takes."""
    dearest: dict[tuple[str, int], tuple[float, str]] = {}
    for run in runs:
        for purge in run.changeover.purges if run.changeover else []:
            if purge.from_ == UNKNOWN and purge.where == "barrel":
                place = run.press, purge.barrel
                dearest[place] = max(dearest.get(place, (0.0, "")), (purge.kg, run.tool))
    for (press, barrel), (kg, tool) in sorted(dearest.items()):
        text = texts.UNKNOWN_MELT.format(barrel=barrel, press=press, tool=f"`{tool}`", kg=kg)
        yield caution(f"unknown melt {press}", text, texts.UNKNOWN_SOURCE)


def _drying(campaign: Campaign, resin: str) -> Iterator[Caution]:
    """A resin that is not dried though its family is, or whose dryer nobody says how large it is."""
    terms = campaign.resins[resin]
    family = family_of(resin, terms)
    if terms.drying_hours == 0 and family is not None and family.must_dry:
        usual = family.drying
        how = (
            f"{usual.hours[0]:g} to {usual.hours[1]:g} h at {usual.degrees_c[0]} to {usual.degrees_c[1]} °C"
            if usual
            else "by its data sheet"
        )
        source = usual.source if usual else texts.DRYING_SOURCE
        yield caution(f"dry {resin}", texts.MUST_DRY.format(resin=resin, family=family.abbreviation, how=how), source)
    elif terms.drying_hours > 0 and terms.dryer_kg is None:
        yield caution(f"dryer {resin}", texts.DRYER_UNSAID.format(resin=resin), texts.DRYING_SOURCE)
