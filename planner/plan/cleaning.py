"""The purging compound in a plan: what it takes and spares where it is used, and where it would pay but is not."""

from collections.abc import Iterator, Sequence
from math import fsum

from planner.campaign import Campaign
from planner.campaign.melts import melt_price
from planner.campaign.unknown_melts import UNKNOWN
from planner.plan.document import CompoundOffer, CompoundUse, Purge, Run
from planner.purge.compound import Place, compound_figures
from planner.purge.figures import melt_of
from planner.schedule.encode import Names
from planner.schedule.encode.materials import compound_to_plan
from planner.schedule.instance import Instance


def compound_use(inst: Instance, names: Names, runs: Sequence[Run]) -> CompoundUse | None:
    """What the plan's purges with compound take, against the same purges with melt alone."""
    compound = names.campaign.purging.compound
    cleaned = [(run, purge) for run, purge in _purges(runs) if purge.compound_kg > 0]
    if compound is None or not cleaned:
        return None
    melts = [_melt_alone(inst, names, run, purge) for run, purge in cleaned]
    return CompoundUse(
        name=compound.name,
        purges=len(cleaned),
        kg=fsum(purge.compound_kg for _, purge in cleaned),
        rinse_kg=fsum(purge.rinse_kg for _, purge in cleaned),
        melt_kg=fsum(kg for kg, _, _ in melts),
        saves=fsum(cost for _, cost, _ in melts) - fsum(purge.cost for _, purge in cleaned),
        minutes_saved=(sum(seconds for _, _, seconds in melts) - sum(purge.seconds for _, purge in cleaned)) / 60,
    )


def _melt_alone(inst: Instance, names: Names, run: Run, purge: Purge) -> tuple[float, float, int]:
    """kg, money for material and disposal, and seconds of the purge, made with melt alone."""
    p, b = names.presses.index(run.press), purge.barrel - 1
    old, new = names.melts.index(purge.from_), names.melts.index(purge.to)
    r = next(n for n, one in enumerate(names.runs) if (one.tool, list(one.melts)) == (run.tool, run.melts))
    if purge.where == "barrel":
        kg, seconds = float(inst.purge_kg[p, b, old, new]), int(inst.purge_s[p, b, r, old])
    else:
        kg, seconds = float(inst.hot_kg[inst.run_tool[r], b, old, new]), int(inst.hot_s[p, b, r, old])
    return kg, kg * float(inst.waste_cost_kg[new]), seconds


def compound_offers(campaign: Campaign, runs: Sequence[Run]) -> Iterator[CompoundOffer]:
    """Purges the plan makes with melt alone where compound and rinse would cost less material."""
    compound, disposal = campaign.purging.compound, campaign.floor.disposal_per_kg
    if compound is None:
        return
    for run, purge in _purges(runs):
        if purge.compound_kg > 0 or purge.kg <= 0 or purge.from_ == UNKNOWN:
            continue
        place, held = _place(campaign, run, purge)
        melts = [melt_of(campaign, purge.from_), melt_of(campaign, purge.to)]
        freely = compound.model_copy(update={"use": "cheapest", "rules": []})
        figures = compound_figures(freely, melts, held, place)
        if not figures.offered[0, 1]:
            continue
        used, rinse = float(figures.kg[0, 1]), float(figures.rinse_kg[0, 1])
        cost = used * (compound.price_per_kg + disposal) + rinse * (melt_price(campaign, purge.to) + disposal)
        if purge.cost > cost:
            yield CompoundOffer(
                run=run.id,
                barrel=purge.barrel,
                from_=purge.from_,
                to=purge.to,
                kg=purge.kg,
                compound_kg=used,
                rinse_kg=rinse,
                saves=purge.cost - cost,
                why_not=_why_not(campaign, bool(compound_figures(compound, melts, held, place).offered[0, 1])),
            )


def _why_not(campaign: Campaign, offered: bool) -> str:
    if compound_to_plan(campaign) is None:
        return "there is none in hand, none is to come, and no `lead_days` say that it can be bought"
    if not offered:
        return "the maker's rule says never"
    return "press time, soaking or the plan's aim speak for melt, or there was not enough of it yet"


def _place(campaign: Campaign, run: Run, purge: Purge) -> tuple[Place, float]:
    """Where a purge is made, and how much melt is held there, kg."""
    b = purge.barrel - 1
    if purge.where == "hot runner":
        return Place(None, b, hot_runner=True), campaign.tools[run.tool].hot_runner_kg[b]
    return Place(run.press, b), campaign.presses[run.press].barrels[b].holdup_kg


def _purges(runs: Sequence[Run]) -> Iterator[tuple[Run, Purge]]:
    for run in runs:
        for purge in run.changeover.purges if run.changeover else []:
            yield run, purge
