"""What the plan's purge figures rest on: the log's say, entries set aside, findings, where a compound would pay."""

from collections.abc import Iterator, Mapping, Sequence
from math import fsum

from planner.campaign import Campaign
from planner.campaign.melts import melt_price
from planner.campaign.purging import PurgeLogged
from planner.plan.document import BarrelFactor, ColourFinding, CompoundOffer, LogSetAside, PurgeNotes, Run
from planner.purge.figures import barrel_id, campaign_figures
from planner.purge.findings import campaign_findings
from planner.purge.matrix import PurgeFigures, total_moved
from planner.schedule.compiled import Names

Figures = Mapping[tuple[str, int], PurgeFigures]
"""(press, barrel from 0) -> the barrel's figures."""


def notes(names: Names, runs: Sequence[Run]) -> PurgeNotes:
    """The plan's notes on purging."""
    purging = names.campaign.purging
    unlogged = logged_figures(names.campaign, names.melts, []) if purging.log else names.figures
    before, after = kg_moved(unlogged, names.figures, runs)
    return PurgeNotes(
        kg_without_log=before,
        kg_with_log=after,
        barrels=list(factors(names.figures)),
        set_aside=list(set_aside(names.figures, purging.log)),
        findings=list(_findings(names.campaign, runs)),
        compound=list(_offers(names.campaign, runs)),
    )


def logged_figures(campaign: Campaign, melts: Sequence[str], log: Sequence[PurgeLogged]) -> Figures:
    """The campaign's figures, had its log been this one."""
    purging = campaign.purging.model_copy(update={"log": list(log)})
    return campaign_figures(campaign.model_copy(update={"purging": purging}), melts)


def kg_moved(before: Figures, after: Figures, runs: Sequence[Run]) -> tuple[float, float]:
    """kg of the same runs' barrel purges by one set of figures and by another of the same melts."""
    moved = []
    for (press, k), figures in after.items():
        keys = {f"{melt.resin}/{melt.colour}": melt.key for melt in figures.melts}
        changes = [
            (keys[purge.from_], keys[purge.to])
            for run in runs
            if run.press == press and run.changeover
            for purge in run.changeover.purges
            if purge.where == "barrel" and purge.barrel == k + 1
        ]
        moved.append(total_moved(before[press, k], figures, changes))
    return fsum(kg for kg, _ in moved), fsum(kg for _, kg in moved)


def factors(found: Figures) -> Iterator[BarrelFactor]:
    """What the log says of each barrel it counts for."""
    for (press, k), figures in sorted(found.items()):
        fit = figures.fit
        if figures.log.used:
            yield BarrelFactor(
                press=press,
                barrel=k + 1,
                factor=fit.factor,
                factor_p10=fit.low,
                factor_p90=fit.high,
                entries=fit.entries,
                trust=fit.trust,
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
    for placed in campaign_findings(campaign, work):
        yield ColourFinding(
            kind=placed.finding.kind,
            tool=placed.tool,
            press=placed.press,
            barrel=placed.barrel,
            concerns=list(placed.finding.concerns),
            message=placed.finding.message,
            remedy=placed.finding.remedy,
        )


def _offers(campaign: Campaign, runs: Sequence[Run]) -> Iterator[CompoundOffer]:
    """Purges where compound and rinse cost less than the melt the plan purges with."""
    compound = campaign.purging.compound
    if compound is None:
        return
    disposal = campaign.floor.disposal_per_kg
    for run in runs:
        purges = run.changeover.purges if run.changeover else []
        for k, melt in enumerate(run.melts):
            mine = [purge for purge in purges if purge.barrel == k + 1]
            barrel = [purge for purge in mine if purge.where == "barrel"]
            if not barrel:
                continue
            hot = campaign.tools[run.tool].hot_runner_kg
            held = campaign.presses[run.press].barrels[k].holdup_kg
            held += hot[k] if k < len(hot) and len(mine) > 1 else 0.0
            used, rinse = compound.holdups * held, compound.rinse_holdups * held
            cost = used * (compound.price_per_kg + disposal) + rinse * (melt_price(campaign, melt) + disposal)
            saves = fsum(purge.cost for purge in mine) - cost
            if saves > 0:
                yield CompoundOffer(
                    run=run.id,
                    barrel=k + 1,
                    from_=barrel[0].from_,
                    to=melt,
                    kg=fsum(purge.kg for purge in mine),
                    compound_kg=round(used, 3),
                    rinse_kg=round(rinse, 3),
                    saves=saves,
                )
