"""What the plan's purge figures rest on: the log's say, entries set aside, findings, where a compound pays."""

from collections.abc import Iterator, Mapping, Sequence
from math import fsum

from planner.campaign import Campaign
from planner.campaign.purging import PurgeLogged
from planner.campaign.unknown_melts import UNKNOWN
from planner.campaign.whereabouts import setter_rate
from planner.plan.cleaning import compound_offers, compound_use
from planner.plan.colour_findings import colour_finding
from planner.plan.document import (
    BarrelFactor,
    ColourFinding,
    HotRunnerFactor,
    LogSetAside,
    Purge,
    PurgeNotes,
    PurgePace,
    Run,
)
from planner.purge.figures import barrel_id, campaign_figures
from planner.purge.findings import campaign_findings
from planner.purge.matrix import PurgeFigures
from planner.purge.times import rated_kg_h
from planner.purge.unknown import barrel_worst
from planner.schedule.encode import Names
from planner.schedule.encode.charges import working_cost
from planner.schedule.instance import Instance

Figures = Mapping[tuple[str, int], PurgeFigures]
"""(press, barrel from 0) -> the barrel's figures."""


def notes(inst: Instance, names: Names, total: float, runs: Sequence[Run]) -> PurgeNotes:
    """The plan's notes on purging. total: its money."""
    campaign = names.campaign
    purging = campaign.purging
    before: Figures = names.figures
    without = total
    if purging.log:
        before = logged_figures(campaign, names.melts, [])
        without = total + fsum(_dearer(campaign, before, run) for run in runs)
    kg_before, kg_after = kg_moved(campaign, before, names.figures, runs)
    return PurgeNotes(
        kg_without_log=kg_before,
        kg_with_log=kg_after,
        total_unlogged=without,
        total_with_log=total,
        barrels=list(factors(names.figures)),
        set_aside=list(set_aside(names.figures, purging.log)),
        findings=list(_findings(campaign, runs)),
        compound=list(compound_offers(campaign, runs)),
        hot_runners=[
            HotRunnerFactor(
                tool=tool,
                barrel=barrel + 1,
                factor=fit.factor,
                factor_p10=fit.low,
                factor_p90=fit.high,
                entries=fit.entries,
                trust=fit.trust,
            )
            for (tool, barrel), fit in sorted(names.hot_fits.items())
        ],
        compound_use=compound_use(inst, names, runs),
        pace=list(_pace(campaign, runs)),
    )


def _pace(campaign: Campaign, runs: Sequence[Run]) -> Iterator[PurgePace]:
    purged = {
        (run.press, purge.barrel)
        for run in runs
        for purge in (run.changeover.purges if run.changeover else [])
        if purge.where == "barrel"
    }
    for press, number in sorted(purged):
        barrel = campaign.presses[press].barrels[number - 1]
        yield PurgePace(
            press=press,
            barrel=number,
            rated_kg_h=rated_kg_h(barrel),
            rests_on="its size" if barrel.plasticising_kg_h is None else "its data sheet",
            share=campaign.purging.air_shot_share,
        )


def _dearer(campaign: Campaign, figures: Figures, run: Run) -> float:
    """Money that a run's purges of barrels would take more by these figures: material, disposal, press, energy, setter.

    Time purging goes with the kg; soaking, heat and what a bridge takes do not. When things happen stays as it is.
    """
    rate = working_cost(campaign, run.press) + setter_rate(campaign, run.press)
    more = 0.0
    for purge in run.changeover.purges if run.changeover else []:
        own_kg = purge.kg - purge.bridge_kg
        if purge.where != "barrel" or own_kg <= 0:
            continue
        bridge = campaign.resins[purge.bridge].price_per_kg + campaign.floor.disposal_per_kg if purge.bridge else 0.0
        hours = (purge.seconds - purge.soak_seconds - purge.heat_seconds) / 3600
        money = purge.cost - purge.bridge_kg * bridge + hours * rate
        more += money * (_kg(campaign, figures[run.press, purge.barrel - 1], purge) / own_kg - 1)
    return more


def logged_figures(campaign: Campaign, melts: Sequence[str], log: Sequence[PurgeLogged]) -> Figures:
    """The campaign's figures, had its log been this one."""
    purging = campaign.purging.model_copy(update={"log": list(log)})
    return campaign_figures(campaign.model_copy(update={"purging": purging}), melts)


def kg_moved(campaign: Campaign, before: Figures, after: Figures, runs: Sequence[Run]) -> tuple[float, float]:
    """kg of the same runs' barrel purges, each made the same way, by one set of figures and by another."""
    purges = [
        (run.press, purge)
        for run in runs
        if run.changeover
        for purge in run.changeover.purges
        if purge.where == "barrel"
    ]
    earlier, later = (
        fsum(_kg(campaign, figures[press, purge.barrel - 1], purge) for press, purge in purges)
        for figures in (before, after)
    )
    return earlier, later


def _kg(campaign: Campaign, figures: PurgeFigures, purge: Purge) -> float:
    names = [f"{melt.resin}/{melt.colour}" for melt in figures.melts]
    if purge.from_ == UNKNOWN:
        return float(barrel_worst(campaign, figures)[0][names.index(purge.to)])
    pair = names.index(purge.from_), names.index(purge.to)
    if purge.compound_kg > 0 and figures.compound is not None:
        return float(figures.compound.total_kg[pair])
    return float(figures.kg[pair])


def factors(found: Figures) -> Iterator[BarrelFactor]:
    """What the log says of each barrel it counts for: of purging with melt, and with compound."""
    for (press, k), figures in sorted(found.items()):
        for used, fit, way in (
            (figures.log.used, figures.log.fit, "melt alone"),
            (figures.log.compound_used, figures.log.compound_fit, "purging compound"),
        ):
            if used:
                yield BarrelFactor.model_validate(
                    {
                        "press": press,
                        "barrel": k + 1,
                        "factor": fit.factor,
                        "factor_p10": fit.low,
                        "factor_p90": fit.high,
                        "entries": fit.entries,
                        "trust": fit.trust,
                        "way": way,
                    }
                )


def set_aside(found: Figures, log: Sequence[PurgeLogged]) -> Iterator[LogSetAside]:
    """Entries of the log that are kept and not counted, in its order, each with the reason."""
    places = {barrel_id(press, k): (press, k + 1) for press, k in found}
    aside = [one for figures in found.values() for one in figures.log.set_aside]
    for one in sorted(aside, key=lambda found: int(found.entry.id)):
        press, barrel = places[one.entry.barrel]
        entry = log[int(one.entry.id)]
        yield LogSetAside(
            entry=int(one.entry.id), press=press, barrel=barrel, from_=entry.from_, to=entry.to, reason=one.reason
        )


def _findings(campaign: Campaign, runs: Sequence[Run]) -> Iterator[ColourFinding]:
    work: dict[str, dict[str, list[tuple[str, ...]]]] = {}
    for run in sorted(runs, key=lambda run: run.start):
        work.setdefault(run.press, {}).setdefault(run.tool, []).append(tuple(run.melts))
    yield from map(colour_finding, campaign_findings(campaign, work))
