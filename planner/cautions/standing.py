"""Melts left in a barrel that cools: what the plan clears, what nobody speaks of, what a barrel begins with."""

from collections.abc import Collection, Iterator, Sequence
from math import fsum

from planner.campaign import Campaign
from planner.campaign.families import COMMON, DURACON
from planner.campaign.heat import heat_of, may_be_left, must_be_cleared
from planner.campaign.materials import Resin
from planner.campaign.resin_nature import family_of
from planner.cautions.texts import caution
from planner.plan.document import Caution, Run
from planner.plan.phrases import listed

ABOUT = "standing"
HEAT_ABOUT = "heat of"
FAR_C = 20
"""Degrees C by which grades of one family may differ without being asked about: common practice, from memory."""
SOURCE = f"{DURACON}; for other resins {COMMON}"


def standing(campaign: Campaign, runs: Sequence[Run]) -> Iterator[Caution]:
    """For each resin moulded, and for each barrel that begins with a melt that must not stand."""
    used = sorted({melt.rpartition("/")[0] for run in runs for melt in run.melts})
    for resin in used:
        if must_be_cleared(resin, campaign.resins[resin]):
            yield _cleared(resin, runs)
    for resin in used:
        if not _known(campaign, resin):
            yield caution(
                f"{ABOUT} {resin}",
                f"Nobody has said whether `{resin}` may be left in a barrel that is shut down, and this plan leaves it "
                "there whenever its press closes: ask the supplier, and say `stands_cold`.",
                SOURCE,
            )
    yield from _begins(campaign, {run.press for run in runs})
    for resin in used:
        yield from _unusual_heat(resin, campaign.resins[resin])
        if not heat_of(resin, campaign.resins[resin]).known:
            yield caution(
                f"{HEAT_ABOUT} {resin}",
                f"The melt temperature of `{resin}` is not known: no time is planned to heat or cool for it, and it is "
                "counted on to stand 230 °C only. Look at its data sheet before a change, and say `melt_c`.",
                SOURCE,
            )


def _unusual_heat(name: str, resin: Resin) -> Iterator[Caution]:
    """A melt temperature of the campaign's far from what its family is usually moulded at: it is gone by, and asked
    about."""
    family = family_of(name, resin)
    if family is None or family.melt_c is None or resin.melt_c is None:
        return
    (low, high), (least, most) = resin.melt_c, family.melt_c
    if least - low > FAR_C or high - most > FAR_C or low > most or high < least:
        yield caution(
            f"{HEAT_ABOUT} {name}",
            f"`{name}` is to be moulded at {low:g} to {high:g} °C; {family.abbreviation} usually is at {least} to "
            f"{most} °C. The plan goes by what the campaign says. Look at its data sheet, and correct `melt_c` or "
            "`family` if that says otherwise: too cold the screw turns in stiff melt, too hot it breaks down.",
            family.melt_source,
        )


def _known(campaign: Campaign, name: str) -> bool:
    resin = campaign.resins[name]
    return must_be_cleared(name, resin) or may_be_left(name, resin) or resin.stands_cold is not None


def _cleared(resin: str, runs: Sequence[Run]) -> Caution:
    closings = [s.closing for run in runs for s in run.stretches if s.closing is not None]
    mine = [c for closing in closings for c in closing.cleared if c.from_.rpartition("/")[0] == resin]
    times = sum(any(c.from_.rpartition("/")[0] == resin for c in closing.cleared) for closing in closings)
    by = listed([f"`{name}`" for name in sorted({c.to for c in mine})])
    return caution(
        f"{ABOUT} {resin}",
        f"`{resin}` must not be left in a barrel or hot runner that is shut down: this plan clears it with {by}, "
        f"{fsum(c.kg for c in mine):.1f} kg in {times} closing{'s' if times != 1 else ''}, before each closing and "
        "after the last shot; the next start purges that out and pays for it. If a run stops unplanned, clear it at "
        "once, and never heat a barrel up with it unattended.",
        SOURCE,
    )


def _begins(campaign: Campaign, presses: Collection[str]) -> Iterator[Caution]:
    for press in sorted(presses):
        for number, barrel in enumerate(campaign.presses[press].barrels, start=1):
            resin = barrel.holds.rpartition("/")[0] if barrel.holds else ""
            if resin in campaign.resins and must_be_cleared(resin, campaign.resins[resin]):
                yield caution(
                    f"{ABOUT} {resin}",
                    f"Barrel {number} of press `{press}` begins with `{resin}` in it, which must not stand: heat it "
                    "with somebody there, no hotter and no longer than it needs to flow, and purge it out first.",
                    SOURCE,
                )
