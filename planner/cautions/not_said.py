"""What the campaign does not say: contents, which are then purged at the worst; clamp force; drying.

Where people could be hurt by it (acetal, PVC, resins hotter than what nobody knows may stand) the campaign is refused
instead.
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
    for resin in sorted({melt.rpartition("/")[0] for run in runs for melt in run.melts}):
        yield from _drying(campaign, resin)
    yield from _unknown_melts(runs)
    for name in unsaid_clamps(campaign, runs):
        presses = sorted({run.press for run in runs if run.tool == name})
        holds = ", ".join(f"{campaign.presses[press].clamp_kn:g} kN in `{press}`" for press in presses)
        yield caution(f"clamp {name}", texts.CLAMP.format(tool=name, holds=holds), texts.CLAMP_SOURCE)


def unsaid_clamps(campaign: Campaign, runs: Sequence[Run]) -> list[str]:
    """Tools of these runs of which nobody says what clamp force they ask for."""
    return sorted({run.tool for run in runs if campaign.tools[run.tool].clamp_kn == 0})


def _unknown_melts(runs: Sequence[Run]) -> Iterator[Caution]:
    """Barrels and hot runners purged of what nobody knows, each once with the most it takes."""
    dearest: dict[tuple[str, int, str], tuple[float, str]] = {}
    for run in runs:
        for purge in run.changeover.purges if run.changeover else []:
            if purge.from_ == UNKNOWN:
                place = purge.where, purge.barrel, run.press if purge.where == "barrel" else run.tool
                dearest[place] = max(dearest.get(place, (0.0, "")), (purge.kg, run.tool))
    for (where, barrel, name), (kg, tool) in sorted(dearest.items()):
        text = texts.UNKNOWN_MELT if where == "barrel" else texts.UNKNOWN_HOT_RUNNER
        yield caution(
            f"unknown melt {name}", text.format(barrel=barrel, name=name, tool=tool, kg=kg), texts.UNKNOWN_SOURCE
        )


def _range(low: float, high: float) -> str:
    return f"{low:g}" if low == high else f"{low:g} to {high:g}"


def _drying(campaign: Campaign, resin: str) -> Iterator[Caution]:
    """A resin that is not dried though its family is, or whose dryer nobody says how large it is."""
    terms = campaign.resins[resin]
    family = family_of(resin, terms)
    if terms.drying_hours == 0 and family is not None and family.must_dry:
        usual = family.drying
        how = f"{_range(*usual.hours)} h at {_range(*usual.degrees_c)} °C" if usual else "by its data sheet"
        source = usual.source if usual else texts.DRYING_SOURCE
        yield caution(f"dry {resin}", texts.MUST_DRY.format(resin=resin, family=family.abbreviation, how=how), source)
    elif terms.drying_hours > 0 and terms.dryer_kg is None:
        yield caution(f"dryer {resin}", texts.DRYER_UNSAID.format(resin=resin), texts.DRYING_SOURCE)
