"""A campaign document compiled into an Instance, with the names that lead back."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from planner.calendars.attended import Attended
from planner.calendars.clock import Clock
from planner.calendars.others import Taken
from planner.campaign import Campaign
from planner.campaign.dryer_rate import dryers_to_plan
from planner.campaign.fit import shot_mass_g
from planner.campaign.unknown_melts import UNKNOWN, unknown_melts
from planner.demand.into_moulds import IntoMoulds, at_the_least, depends_on_shares, into_moulds
from planner.demand.items import RunDemand, covered_items, put_together, run_demands, sharings
from planner.demand.parcels import pack_batches
from planner.demand.standing import at_places, settled, ways
from planner.purge.figures import campaign_figures
from planner.schedule.bounds.several_tools import SharedWork, bound_over_shares
from planner.schedule.encode.arrays import ints
from planner.schedule.encode.at_the_shot import with_moulding_over
from planner.schedule.encode.charges import pieces_at_least, with_bases, with_charges
from planner.schedule.encode.cleaning import with_cleaning
from planner.schedule.encode.dryers import with_dryers
from planner.schedule.encode.goods import Goods, assembly_jobs, with_finishing
from planner.schedule.encode.heat import clearing_of, with_heat
from planner.schedule.encode.horizon import horizon_days
from planner.schedule.encode.indices import Indices
from planner.schedule.encode.leaving import pallets_least, with_leaving
from planner.schedule.encode.materials import materials
from planner.schedule.encode.money import finishing_costs, fixed_costs, regrind_kept
from planner.schedule.encode.names import NO_WISH_REFUSED, Names, RefusedWish
from planner.schedule.encode.operators import with_operators
from planner.schedule.encode.others import with_others, with_unknown
from planner.schedule.encode.parcels import batch_fields, bench_fields, pickup_fields
from planner.schedule.encode.presses import press_fields, press_hours, tool_fields
from planner.schedule.encode.runs import melt_fields, melts_that_come, run_fields
from planner.schedule.encode.several_tools import everything_made, shared_works, whoever_makes
from planner.schedule.encode.wishes import with_wishes
from planner.schedule.instance import ANYWHERE, Instance

__all__ = [
    "NO_WISH_REFUSED", "Names", "RefusedWish", "aimed", "compile_campaign", "compiled_for_shares", "horizon_days",
]  # fmt: skip

TIE_BREAK = 1e-6
"""Money per day of mean dispatch: among plans of one cost, the earlier one."""


def compile_campaign(
    campaign: Campaign, refused: Mapping[int, RefusedWish] = NO_WISH_REFUSED
) -> tuple[Instance, Names]:
    """Compile a campaign that passed its cross-checks. refused: its wishes that are left out. Tools whose presses stand
    at several places are at one, and the bound is that of every way in which they may stand."""
    every = ways(campaign)
    if len(every) < 2:
        return _at_one_place(settled(campaign), refused)
    # The solvers take a while to load, and what only reads campaigns never needs them.
    from planner.schedule.bounds.lower_bound import at_hand

    instance, names = _at_one_place(settled(campaign), refused)
    bound = min(at_hand(_at_one_place(at_places(campaign, way), refused)[0]) for way in every)
    instance = instance._replace(several=ANYWHERE, several_bound=bound)
    if not instance.first_source.size:
        none = ints([0] * len(names.goods))
        instance = instance._replace(first_source=none, last_source=none)
    return instance, replace(names, anywhere=campaign)


def _at_one_place(campaign: Campaign, refused: Mapping[int, RefusedWish]) -> tuple[Instance, Names]:
    runs = run_demands(campaign)
    instance, names = _compiled(campaign, refused, runs, into_moulds(campaign, runs))
    shared = compiled_for_shares(campaign, refused)
    if shared is not None:
        everything, _, works = shared
        instance = instance._replace(several_bound=bound_over_shares(everything, works))
    return instance, names


def compiled_for_shares(
    campaign: Campaign, refused: Mapping[int, RefusedWish] = NO_WISH_REFUSED
) -> tuple[Instance, Names, list[SharedWork]] | None:
    """The campaign as if each of several tools that make a part made all of them, and what these have to make: what
    bounds whoever makes how many (`bound_over_shares`). None where no part has several tools. Each tool that may go to
    several places is at one."""
    found = sharings(campaign)
    if not found:
        return None
    into = at_the_least(campaign) if depends_on_shares(campaign) else into_moulds(campaign, run_demands(campaign))
    found = sharings(campaign, into.parts)
    anyhow, runs = whoever_makes(campaign, found, into), everything_made(campaign, found, into)
    together = frozenset(tool for sharing in found for tool in sharing.tools)
    everything, names = _compiled(anyhow, refused, runs, into, together)
    return everything, names, shared_works(anyhow, found, runs, everything)


def _compiled(
    campaign: Campaign,
    refused: Mapping[int, RefusedWish],
    runs: list[RunDemand],
    into: IntoMoulds,
    free: frozenset[str] = frozenset(),
) -> tuple[Instance, Names]:
    """Compile a campaign with these run demands. into: what goes into moulds. free: tools whose runs cost nothing that
    no order of work changes."""
    wishes = [wish for n, wish in enumerate(campaign.wishes) if n not in refused]
    clock = Clock.starting(campaign.start, campaign.time_zone)
    days = horizon_days(campaign, clock)
    presses, tools, clearing = sorted(campaign.presses), sorted(campaign.tools), clearing_of(campaign)
    melts = melts_that_come(campaign, runs, clearing)
    supply = materials(campaign, melts, clock, clearing.resins)
    shot_g = {t: shot_mass_g(campaign, campaign.tools[t]) for t in tools}
    of = Indices(campaign, presses, tools, runs, melts, supply.names, shot_g)
    figures = campaign_figures(campaign, melts)
    batches = pack_batches(campaign)
    goods = Goods(campaign, runs, batches, clock, days, into)
    jobs, job_fields = assembly_jobs(campaign, runs, batches, goods)
    items = put_together([*(i for r in runs for i in r.items), *covered_items(campaign, runs, into.parts)])
    paid = [run for run in runs if run.tool not in free]
    kept = regrind_kept(campaign, paid, supply, shot_g)
    assembly_s = int(job_fields["job_work"].sum())
    packing = any(campaign.tiers[batch.tier].pack_minutes for batch in batches)
    hours = [press_hours(campaign, p, clock, days, wishes) for p in presses]
    instance = Instance(
        **press_fields(of, [ours for ours, _ in hours]),
        **tool_fields(of, clock),
        **run_fields(of, clearing, [bool(ours) for ours, _ in hours]),
        **melt_fields(of, figures),
        **supply.fields(),
        material_regrind=kept,
        **goods.fields(),
        **bench_fields(campaign, clock, days, {"asm": assembly_s > 0, "pack": packing}),
        **job_fields,
        **batch_fields(campaign, batches, goods),
        **pickup_fields(campaign, clock, days),
        fixed_cost=sum(fixed_costs(campaign, paid, batches, assembly_s, supply, kept, shot_g, into.pieces).values())
        + sum(finishing_costs(campaign, jobs, items.values(), [] if free else runs).values())
        + pieces_at_least(campaign, paid)
        + pallets_least(campaign, batches),
        aim_cost=1.0,
        aim_last=0.0,
        aim_mean=TIE_BREAK,
        aim_waste=0.0,
    )
    dried = dryers_to_plan(campaign, sorted({melt.rsplit("/", 1)[0] for run in runs for melt in run.melts}))
    names = Names(
        campaign, clock, presses, tools, runs, melts, supply.names, goods.names, batches, jobs,
        items, figures, clearing, dried, refused,
    )  # fmt: skip
    instance = _with_melts(instance, of, names, hours, days)
    if any(item.shared for item in items.values()):
        instance = instance._replace(
            several=1, first_source=ints(goods.first_source), last_source=ints(goods.last_source)
        )
    instance = with_finishing(instance, campaign, goods, jobs, clock, days)
    instance = with_charges(instance, campaign, presses, runs)
    instance = with_operators(instance, campaign, presses, runs)
    instance = with_leaving(instance, campaign, batches, clock, days)
    instance = with_bases(instance, campaign, tools)
    instance = with_wishes(instance, wishes, presses, runs, clock)
    instance = with_moulding_over(instance, campaign, runs, goods)
    return aimed(instance, campaign.planning.aim, campaign.planning.kg_per_day or 0.0), names


def _with_melts(
    instance: Instance, of: Indices, names: Names, hours: Sequence[tuple[list[Attended], list[Taken]]], days: int
) -> Instance:
    """The instance with what is in barrels beside the melts that follow one another: a purging compound, what clears a
    barrel or goes between two others, what nobody knows, what others leave, and dryers. hours: by press."""
    campaign, presses, runs = names.campaign, names.presses, names.runs
    instance = with_cleaning(instance, campaign, presses, names.tools, runs, names.figures, of.shot_g)
    instance = with_heat(instance, of, names.clearing)
    if unknown_melts(campaign):
        instance = with_unknown(instance, of, names.figures, names.clearing)
    instance = with_others(instance, campaign, presses, hours, [*names.melts, UNKNOWN])
    return with_dryers(instance, campaign, presses, runs, names.dryers, names.clock, days)


def aimed(instance: Instance, aim: str, kg_per_day: float = 0.0) -> Instance:
    """The instance with its weights set to an aim: least cost, soonest finished, or least waste.

    kg_per_day: with least waste, kg of purge and start-up material that a day of the last dispatch is worth.
    """
    if aim == "soonest":
        # a day of the last dispatch outweighs a thousand of the mean one, and both outweigh money
        return instance._replace(aim_cost=1e-6, aim_last=1000.0, aim_mean=1.0, aim_waste=0.0)
    if aim == "waste":
        return instance._replace(aim_cost=1e-4, aim_last=1000.0 * kg_per_day, aim_mean=TIE_BREAK, aim_waste=1000.0)
    return instance._replace(aim_cost=1.0, aim_last=0.0, aim_mean=TIE_BREAK, aim_waste=0.0)
