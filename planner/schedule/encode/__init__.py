"""A campaign document compiled into an Instance, with the names that lead back."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cached_property
from math import ceil
from typing import Any

import numpy as np

from planner.calendars.attended import Attended, attended
from planner.calendars.clock import Clock
from planner.calendars.others import Taken, press_stretches
from planner.calendars.stretches import stretches
from planner.campaign import Campaign
from planner.campaign.dryer_rate import dryers_to_plan
from planner.campaign.fit import shot_mass_g
from planner.campaign.lights_out import lights_out_seconds
from planner.campaign.materials import Bought
from planner.campaign.melts import melt_price
from planner.campaign.products import Piece
from planner.campaign.unknown_melts import UNKNOWN, unknown_melts
from planner.campaign.wishes import Wish
from planner.demand.carriers import takers
from planner.demand.items import Item, ItemDemand, RunDemand, covered_items, put_together, run_demands, sharings
from planner.demand.parcels import Batch, pack_batches
from planner.purge.factor import FactorFit
from planner.purge.figures import campaign_figures, hot_runner_fits
from planner.purge.matrix import PurgeFigures
from planner.readiness import ready_days
from planner.schedule.bounds.several_tools import bound_over_shares
from planner.schedule.encode.arrays import fraction, ints, pointers, whole_seconds
from planner.schedule.encode.at_the_shot import with_moulding_over
from planner.schedule.encode.changeovers import hot_runners, purges
from planner.schedule.encode.charges import pieces_at_least, with_bases, with_charges, working_cost
from planner.schedule.encode.cleaning import with_cleaning
from planner.schedule.encode.dryers import with_dryers
from planner.schedule.encode.fit import clashes, first_in_hot_runners, first_melts, fits_press, kept_up_with
from planner.schedule.encode.goods import Goods, MadeWith, assembly_jobs, with_finishing
from planner.schedule.encode.heat import Clearing, clearing_of, with_heat
from planner.schedule.encode.indices import Indices
from planner.schedule.encode.leaving import every_pickup, pallets_least, with_leaving
from planner.schedule.encode.lightness import lightness
from planner.schedule.encode.materials import MaterialKind, materials
from planner.schedule.encode.money import finishing_costs, fixed_costs, regrind_kept
from planner.schedule.encode.others import with_others, with_unknown
from planner.schedule.encode.places import setters
from planner.schedule.encode.sequence_units import pinned_and_lots, smallest_lot
from planner.schedule.encode.several_tools import everything_made, shared_works, without_their_inspection
from planner.schedule.encode.wishes import free_spans, kept_free, with_wishes
from planner.schedule.instance import Instance

NO_PROMISE = 10**7
"""A day number no dispatch reaches."""

HORIZON_DAYS = 540
"""Calendars reach this far beyond the last date the campaign names."""

LONG_DAYS = 180
"""By which they grow where orders open, or parts rest, so much later: shorter waits leave them as they are."""

NO_WISH_REFUSED: Mapping[int, "RefusedWish"] = {}

TIE_BREAK = 1e-6
"""Money per day of mean dispatch: among plans of one cost, the earlier one."""


@dataclass(frozen=True)
class RefusedWish:
    """Why a wish is not kept: the rule it breaks, as it is called in RULES.md, and words."""

    rule: str
    because: str


@dataclass(frozen=True)
class Names:
    """What the indices of an Instance stand for."""

    campaign: Campaign
    clock: Clock
    presses: list[str]
    tools: list[str]
    runs: list[RunDemand]
    melts: list[str]
    materials: list[tuple[MaterialKind, str]]
    goods: list[Item | MadeWith | str]
    batches: list[Batch]
    jobs: list[tuple[int, str, str, int]]
    """(batch, product, colourway, units)"""
    items: dict[Item, ItemDemand]
    figures: dict[tuple[str, int], PurgeFigures]
    clearing: Clearing
    dryers: list[str]
    refused: Mapping[int, RefusedWish]
    """Place in the campaign's wishes -> why a wish is not kept; the instance has all others."""

    @cached_property
    def hot_fits(self) -> dict[tuple[str, int], FactorFit]:
        """(tool, barrel from 0) -> the factor of its hot runner, where the log speaks of it."""
        return hot_runner_fits(self.figures)

    def melt(self, index: int) -> str:
        """`resin/colour`; behind the last stands one that nobody knows."""
        return self.melts[index] if index < len(self.melts) else UNKNOWN

    @property
    def start(self) -> datetime:
        """The campaign's start, with its offset."""
        return self.clock.moment(0)


def horizon_days(campaign: Campaign, clock: Clock) -> int:
    """Days for which calendars are laid out."""
    named: list[date | datetime | None] = [*ready_days(campaign).values()]
    supplies: list[Bought | Piece] = [*campaign.resins.values(), *campaign.colours.values(), *campaign.pieces.values()]
    for supply in supplies:
        named += [a.on for a in supply.arrivals]
        named.append(clock.first_day + timedelta(days=supply.lead_days or 0))
    latest = max((clock.seconds(d) for d in named if d is not None), default=0)
    return HORIZON_DAYS + max(0, latest) // 86400 + _long_waits(campaign, clock) // LONG_DAYS * LONG_DAYS


def _long_waits(campaign: Campaign, clock: Clock) -> int:
    """Days that orders open later, and that parts and what is put together rest one after the other, at the most."""
    opens = max((clock.seconds(line.opens) // 86400 for line in campaign.orders if line.opens is not None), default=0)
    steps = [step.rest_hours for part in campaign.parts.values() for step in part.finishing]
    put = [sub.rest_hours for product in campaign.products.values() for sub in product.sub_assemblies.values()]
    hours = max((float(part.rest_hours) for part in campaign.parts.values()), default=0.0) + float(sum([*steps, *put]))
    return max(0, opens) + ceil(hours / 24)


def compile_campaign(
    campaign: Campaign, refused: Mapping[int, RefusedWish] = NO_WISH_REFUSED
) -> tuple[Instance, Names]:
    """Compile a campaign that passed its cross-checks. refused: its wishes that are left out."""
    together = frozenset(tool for sharing in sharings(campaign) for tool in sharing.tools)
    instance, names = _compiled(campaign, refused, run_demands(campaign))
    if together:
        anyhow = without_their_inspection(campaign)
        runs = everything_made(campaign)
        everything, _ = _compiled(anyhow, refused, runs, together)
        bound = bound_over_shares(everything, shared_works(campaign, runs, everything))
        instance = instance._replace(several_bound=bound)
    return instance, names


def _compiled(
    campaign: Campaign,
    refused: Mapping[int, RefusedWish],
    runs: list[RunDemand],
    free: frozenset[str] = frozenset(),
) -> tuple[Instance, Names]:
    """Compile a campaign with these run demands. free: tools whose runs cost nothing that no order of work changes."""
    wishes = [wish for n, wish in enumerate(campaign.wishes) if n not in refused]
    clock = Clock.starting(campaign.start, campaign.time_zone)
    days = horizon_days(campaign, clock)
    presses = sorted(campaign.presses)
    tools = sorted(campaign.tools)
    tool_index = {t: n for n, t in enumerate(tools)}

    clearing = clearing_of(campaign)
    held = {b.holds for p in campaign.presses.values() for b in p.barrels if b.holds}
    held |= {melt for p in campaign.presses.values() for others in p.others for melt in others.leaves}
    held |= {melt for tool in campaign.tools.values() for b in range(2) if (melt := tool.hot_runner_first(b))}
    asked = {m for r in runs for m in r.melts}
    melts = sorted(asked | held | {clearing.leaves(campaign, m) for m in asked})
    melt_index = {m: n for n, m in enumerate(melts)}
    stuff = materials(campaign, melts, clock, clearing.resins)
    figures = campaign_figures(campaign, melts)
    shot_g = {t: shot_mass_g(campaign, campaign.tools[t]) for t in tools}
    ready = ready_days(campaign)

    fits = np.array([[fits_press(campaign, press, run, clearing) for run in runs] for press in presses], dtype=np.bool_)
    fits = kept_up_with(campaign, presses, runs, fits.reshape(len(presses), len(runs)))
    purge_kg, purge_s, hot_kg, hot_s = purges(campaign, presses, tools, runs, melts, figures, shot_g)
    lot_run, lot_shots, pinned = pinned_and_lots(campaign, presses, runs, clearing)
    batches = pack_batches(campaign)
    goods = Goods(campaign, runs, batches, clock, days)
    jobs, job_ptr, job_work, job_need = assembly_jobs(campaign, runs, batches, goods)
    batch_need = [goods.packed(batch) for batch in batches]
    pick = [second for second, _ in every_pickup(campaign, clock, days)]
    hours = [press_hours(campaign, p, clock, days, wishes) for p in presses]
    open_ = [ours for ours, _ in hours]
    asm = stretches(campaign.assembly, campaign.closed_days, clock, days, campaign.assembly.people, headcount=True)
    pack = stretches(campaign.packing, campaign.closed_days, clock, days, campaign.packing.people, headcount=True)
    items = put_together([*(i for r in runs for i in r.items), *covered_items(campaign, runs)])
    paid = [run for run in runs if run.tool not in free]
    kept = regrind_kept(campaign, paid, stuff, shot_g)

    instance = Instance(
        open_ptr=pointers(open_),
        open_start=ints(s.start for group in open_ for s in group),
        open_end=ints(s.end for group in open_ for s in group),
        hands_end=ints(s.hands for group in open_ for s in group),
        restart_s=ints(whole_seconds(campaign.presses[p].restart_minutes) for p in presses),
        press_cost_s=np.array([working_cost(campaign, p) / 3600 for p in presses]),
        press_tool=ints(tool_index.get(campaign.presses[p].tool or "", -1) for p in presses),
        press_melt=first_melts(campaign, presses, melt_index),
        pinned=pinned,
        run_tool=ints(tool_index[r.tool] for r in runs),
        run_shots=ints(r.shots for r in runs),
        fits=fits,
        clash=clashes(campaign, runs, clearing),
        startup_shots=ints(campaign.tools[r.tool].startup_shots for r in runs),
        **_shots(campaign, presses, runs, melt_index, shot_g),
        lot_run=lot_run,
        lot_shots=lot_shots,
        **setters(campaign, presses),
        mount_s=ints(whole_seconds(campaign.tools[t].mount_minutes) for t in tools),
        tool_ready=ints(_seconds(ready[t], clock) for t in tools),
        purge_s=purge_s,
        purge_kg=purge_kg,
        hot_s=hot_s,
        hot_kg=hot_kg,
        hot_runner=hot_runners(campaign, tools),
        tool_melt=first_in_hot_runners(campaign, tools, melt_index),
        waste_cost_kg=np.array([melt_price(campaign, m) + campaign.floor.disposal_per_kg for m in melts]),
        melt_light=np.array([lightness(campaign, m) for m in melts]),
        melt_resin=stuff.melt_resin,
        melt_master=stuff.melt_master,
        melt_master_share=stuff.melt_master_share,
        supply_ptr=stuff.supply_ptr,
        supply_t=stuff.supply_t,
        supply_kg=stuff.supply_kg,
        material_have=stuff.have,
        material_regrind=kept,
        bag_kg=stuff.bag_kg,
        min_order_kg=stuff.min_order_kg,
        material_price=stuff.price,
        good_run=goods.run,
        good_stock=goods.stock,
        good_need=goods.need,
        good_count_shots=goods.counting,
        good_rest_s=goods.rest,
        piece_ptr=goods.piece_ptr,
        piece_t=goods.piece_t,
        piece_count=goods.piece_count,
        asm_start=ints(s.start for s in asm),
        asm_end=ints(s.end for s in asm),
        asm_people=ints(s.people for s in asm),
        pack_start=ints(s.start for s in pack),
        pack_end=ints(s.end for s in pack),
        pack_people=ints(s.people for s in pack),
        job_ptr=job_ptr,
        job_work=job_work,
        job_need_ptr=pointers(job_need),
        job_good=ints(g for need in job_need for g, _ in need),
        job_qty=ints(q for need in job_need for _, q in need),
        **_batches(campaign, batches),
        batch_need_ptr=pointers(batch_need),
        batch_good=ints(g for need in batch_need for g, _ in need),
        batch_qty=ints(q for need in batch_need for _, q in need),
        pickup_t=ints(pick),
        pickup_day=ints(clock.day(s).toordinal() for s in pick),
        pickup_parcels=max(taker.pick_ups.parcels for taker in takers(campaign)),
        fixed_cost=sum(fixed_costs(campaign, paid, batches, int(job_work.sum()), stuff, kept, shot_g).values())
        + sum(finishing_costs(campaign, jobs, items.values()).values())
        + pieces_at_least(campaign, paid)
        + pallets_least(campaign, batches),
        aim_cost=1.0,
        aim_last=0.0,
        aim_mean=TIE_BREAK,
        aim_waste=0.0,
        run_smallest=ints(smallest_lot(campaign, r, clearing) or 0 for r in runs),
    )
    names = Names(
        campaign, clock, presses, tools, runs, melts, stuff.names, goods.names, batches, jobs,
        items, figures,
        clearing, dryers_to_plan(campaign, sorted({m.rsplit("/", 1)[0] for m in asked})), refused,
    )  # fmt: skip
    instance = with_cleaning(instance, campaign, presses, tools, runs, figures, shot_g)
    indices = Indices(campaign, presses, tools, runs, melts, stuff.names, shot_g)
    instance = with_heat(instance, indices, clearing)
    if unknown_melts(campaign):
        instance = with_unknown(instance, indices, figures, clearing)
    instance = with_others(instance, campaign, presses, hours, [*melts, UNKNOWN])
    instance = with_dryers(instance, campaign, presses, runs, names.dryers, clock, days)
    if any(item.shared for item in items.values()):
        instance = instance._replace(
            several=1, first_source=ints(goods.first_source), last_source=ints(goods.last_source)
        )
    instance = with_finishing(instance, campaign, goods, jobs, clock, days)
    instance = with_charges(instance, campaign, presses, runs)
    instance = with_leaving(instance, campaign, batches, clock, days)
    instance = with_bases(instance, campaign, tools)
    instance = with_wishes(instance, wishes, presses, runs, clock)
    instance = with_moulding_over(instance, campaign, runs, goods)
    return aimed(instance, campaign.planning.aim, campaign.planning.kg_per_day or 0.0), names


def _shots(
    campaign: Campaign,
    presses: list[str],
    runs: list[RunDemand],
    melt_index: Mapping[str, int],
    shot_g: dict[str, list[float]],
) -> dict[str, Any]:
    """Fields of an Instance: what a shot of each run is made of, and how long it takes on each press."""
    run_melt = np.full((len(runs), 2), -1, dtype=np.int64)
    shot_kg = np.zeros((len(runs), 2))
    for r, run in enumerate(runs):
        for b, melt in enumerate(run.melts):
            run_melt[r, b] = melt_index[melt]
            shot_kg[r, b] = shot_g[run.tool][b] / 1000
    shot_num, shot_den = np.ones((2, len(presses), len(runs)), dtype=np.int64)
    startup_s = np.zeros((len(presses), len(runs)), dtype=np.int64)
    for p, press in enumerate(presses):
        for r, run in enumerate(runs):
            tool = campaign.tools[run.tool]
            shot = fraction(tool.cycle_s) / fraction(campaign.presses[press].efficiency)
            shot_num[p, r], shot_den[p, r] = shot.numerator, shot.denominator
            startup_s[p, r] = ceil(shot * tool.startup_shots)
    return {
        "run_melt": run_melt, "shot_kg": shot_kg, "shot_num": shot_num, "shot_den": shot_den, "startup_s": startup_s,
    }  # fmt: skip


def _batches(campaign: Campaign, batches: Sequence[Batch]) -> dict[str, Any]:
    """Fields of an Instance: the parcels of each batch, its packing, its promise and what lateness costs."""
    both = [(campaign.tiers[batch.tier], batch) for batch in batches]
    return {
        "batch_work": ints(whole_seconds(tier.pack_minutes, batch.parcels) for tier, batch in both),
        "batch_parcels": ints(batch.parcels for batch in batches),
        "batch_due": ints(b.hand_over_by.toordinal() if b.hand_over_by else NO_PROMISE for b in batches),
        "batch_late_cost": np.array([t.late_cost_per_day * b.parcels * float(b.late_share) for t, b in both]),
        "batch_weight": np.array([float((10 - t.priority) * b.parcels * b.late_share) for t, b in both]),
    }


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


def press_hours(
    campaign: Campaign, press: str, clock: Clock, days: int, wishes: Sequence[Wish]
) -> tuple[list[Attended], list[Taken]]:
    """When a press may work and is not wished free, and until when somebody is there; and when others work on it."""
    machine, people = campaign.presses[press], campaign.floor.attended
    own, taken = press_stretches(campaign, machine, clock, days)
    own = kept_free(own, free_spans(wishes, press, clock))
    if people is None or machine.place is not None:
        return attended(own, None), taken
    there = stretches(people, campaign.closed_days, clock, days)
    return attended(own, there, lights_out_seconds(campaign, press)), taken


def _seconds(day: date | datetime | None, clock: Clock) -> int:
    return 0 if day is None else max(0, clock.seconds(day))
